"""Collects the inputs that the fuzz targets start from: what the project ships and what its tests hold.

usage: seeds.py PROGRAM SOURCE_DIR OUT_DIR

OUT_DIR/TARGET gets one file for each input, OUT_DIR/TARGET.dict the words in them; what was there before is replaced.
Books come from a few recorded sessions, which PROGRAM plays again.
"""
import collections
import hashlib
import pathlib
import re
import shutil
import sys
import tempfile

SESSIONS = ["0005_pass_in_order", "0007_low_high_doubled_slip", "0009_gates", "0013_two_passes",
            "0040_amend_void_correct", "0041_amend_fitted_removed", "0042_amend_unsure", "0043_amend_accept_abandon_note",
            "0048_tools", "0066_torn_line", "0081_begin_operation"]
KINDS = {"fastener schedule": "schedule", "tool list": "tool_list", "build": "build"}
# A mutation of a long trace is seldom a new one, and takes long to run.
LONGEST_TRACE = 200


def file_sections(root, golden):
    """(name, bytes) of every file that a recorded session writes."""
    for case in sorted((root / "tests").glob("diagnostic/*.test")) + sorted((root / "tests").glob("golden/*.test")):
        for kind, argument, lines in golden.parse(case.read_text(encoding="utf-8")):
            if kind in ("file", "stdin"):
                yield argument, golden.unescape(golden.body(lines))


def target_of(name, raw):
    first = raw.split(b"\n", 1)[0].decode("utf-8", "replace")
    kind = re.match(r"format: *(\D*?) *\d", first)
    if kind and kind[1] in KINDS:
        return KINDS[kind[1]]
    if name.endswith(".csv") or not name:
        return "trace" if "torque" in first and "angle" in first else "csv"
    return "schedule" if name.endswith(".yaml") else None


def shortened(raw):
    lines = raw.splitlines(keepends=True)
    step = max(1, len(lines) // LONGEST_TRACE)
    return b"".join(lines[:3] + lines[3::step])


def shipped(root):
    for path in sorted([*root.glob("schedules/*.yaml"), *root.glob("tests/data/*.yaml")]):
        raw = path.read_bytes()
        yield target_of(path.name, raw), raw
    for path in sorted([*root.glob("schedules/*.csv"), *root.glob("tests/reference/traces/*.csv")]):
        yield "trace", shortened(path.read_bytes())


def books(program, root, golden):
    for name in SESSIONS:
        case = root / f"tests/golden/{name}.test"
        with tempfile.TemporaryDirectory() as folder:
            golden.replay(program, golden.parse(case.read_text(encoding="utf-8")), pathlib.Path(folder))
            made = [p.read_bytes() for p in pathlib.Path(folder).iterdir()
                    if p.is_file() and p.read_bytes().startswith(b'{"format":"clampbook book')]
        if not made:
            raise SystemExit(f"{name} makes no book")
        yield from made


def quantities(root):
    """Figures in code of the page that describes them, and every value of a shipped file that begins with a digit."""
    page = (root / "docs/format.md").read_text(encoding="utf-8")
    found = set(re.findall(r"`([-+±]? ?\d[^`\n]*)`", page))
    for path in sorted(root.glob("schedules/*.yaml")):
        found |= set(re.findall(r": *([-+]?\d[^,}\]#\n]*)", path.read_text(encoding="utf-8")))
    return sorted(text.strip().encode() for text in found)


def dictionary(raws):
    """The words that several inputs hold, in the form in which the fuzzer reads them: it writes them whole."""
    seen = collections.Counter(word for raw in raws for word in set(re.findall(rb'"?[a-zA-Z_]{3,24}"?:?|[-+0-9.]{3,12}', raw)))
    words = sorted(word for word, count in seen.most_common(400) if count > 1)
    return "".join('"' + "".join(f"\\x{byte:02x}" for byte in word) + '"\n' for word in words)


WRENCH_LINES = ["P{skip}={torque} N·m @{angle}\n#\nP4=26.3 N·m @58\n# warm\n", "{torque}\n\n26,3\n+026.30\n",
                "T={torque} ft·lbf A={angle}{skip}\nREADY\nT=20.9 ft·lbf A=60.5°\nREADY\n",
                "\n\n26.3 N·m; 58°\nPeak 26.3 Nm\n12.5\n"]


def main(program, root, out):
    sys.path.insert(0, str(root / "tests/support"))
    import golden  # noqa: PLC0415 (its folder is only known now)

    inputs = {target: [] for target in ("schedule", "tool_list", "build", "book", "trace", "unit", "wrench_line", "csv", "json")}
    for target, raw in shipped(root):
        inputs[target].append(raw)
    for name, raw in file_sections(root, golden):
        target = target_of(name, raw)
        if target and len(raw) < 1 << 16:
            inputs[target].append(shortened(raw) if target == "trace" else raw)
    inputs["book"] += books(program, root, golden)
    inputs["json"] += [line for raw in inputs["book"] for line in raw.splitlines()]
    inputs["unit"] += quantities(root)
    inputs["wrench_line"] += [text.encode() for text in WRENCH_LINES]
    for target, raws in inputs.items():
        folder = out / target
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir(parents=True)
        for raw in raws:
            (folder / hashlib.sha256(raw).hexdigest()[:16]).write_bytes(raw)
        (out / f"{target}.dict").write_text(dictionary(raws), encoding="ascii")
        print(f"{target}: {len(list(folder.iterdir()))}")
        if len(raws) < 4:
            raise SystemExit(f"only {len(raws)} inputs for {target}")


if __name__ == "__main__":
    if len(sys.argv) != 4:
        raise SystemExit("usage: seeds.py PROGRAM SOURCE_DIR OUT_DIR")
    main(str(pathlib.Path(sys.argv[1]).resolve()), pathlib.Path(sys.argv[2]).resolve(), pathlib.Path(sys.argv[3]))
