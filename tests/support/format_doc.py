"""Holds docs/format.md to the readers: every example is read, every key is told, every window is the one planned.
The keys of a tool list are held to docs/tools.md.

usage: format_doc.py PROGRAM SOURCE_DIR
"""
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

# What the fragments of the page stand in; each replaces its own top-level key.
BASE = {
    "format": "format: fastener schedule 1",
    "title": "title: T",
    "sources": "sources: {sheet: {text: S, standing: maker}, almanac: {text: L, standing: hearsay}}",
    "fasteners": 'fasteners: {rod-bolt: {thread: M8, strength: "8.8"}}',
    "bolts": "bolts: [{id: 1, at: [0 mm, 0 mm]}, {id: 2, at: [9 mm, 0 mm]}]",
    "stages": "stages: [{torque: 30 N·m}]",
}


SHIPPED = pathlib.Path(__file__).resolve().parent.parent.parent / "schedules"
TOOL_READER = "lib/clampbook/schedule/read_tools.cpp"


def plan(program, text):
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "s.yaml"
        for shipped in SHIPPED.glob("*.yaml"):  # what the builds of the page name
            shutil.copy(shipped, folder)
        path.write_text(text, encoding="utf-8")
        done = subprocess.run([program, "plan", "--json", str(path)], capture_output=True, text=True, timeout=30,
                              env={**os.environ, "LC_ALL": "C.UTF-8"})
        return done.returncode, done.stdout, done.stderr


def schedule_with(fragment):
    own = re.findall(r"^(\w+):", fragment, flags=re.M)
    if own and own[0] == "format":
        return fragment
    return "\n".join([*(text for key, text in BASE.items() if key not in own), fragment])


def examples(program, page):
    blocks = re.findall(r"^```yaml\n(.*?)^```", page, flags=re.M | re.S)
    for block in blocks:
        status, _, err = plan(program, schedule_with(block))
        if status != 0:
            yield f"an example is refused:\n{block}{err}"
    if len(blocks) < 8:
        yield f"only {len(blocks)} examples were found"


def windows(program, page):
    """The rows of the table of targets: what is written, and from where to where it reaches."""
    rows = re.findall(r"^\| (`[^|]*`) \| [^|]* \| ([\d.]+) to ([\d.]+) (?:N·m|mm) \|$", page, flags=re.M)
    for written, low, high in rows:
        for figure in re.findall(r"`([^`]*)`", written):
            kind = "stretch" if "mm" in figure else "torque"
            status, out, err = plan(program, schedule_with(f"stages: [{{{kind}: {figure}}}]\n"))
            if status != 0:
                yield f"the target {figure} is refused: {err}"
                continue
            step = json.loads(out)["steps"][0]
            suffix = "mm" if kind == "stretch" else "Nm"
            found = [step[f"low_{suffix}"], step[f"high_{suffix}"]]
            if any(abs(a - float(b)) > 1e-9 for a, b in zip(found, (low, high))):
                yield f"the target {figure} reaches from {found[0]} to {found[1]}, the page says {low} to {high}"
    if len(rows) < 5:
        yield f"only {len(rows)} windows were found"


def reader_keys(root):
    keys = set()
    for path in set((root / "lib/clampbook/schedule").glob("read_*.cpp")) - {root / TOOL_READER}:
        text = path.read_text(encoding="utf-8")
        keys |= set(re.findall(r'\b(?:take|need|measured|truth|text_or_empty)\("(\w+)"', text))
        keys |= {k for pair in re.findall(r'\bbound\("(\w+)", "(\w+)"', text) for k in pair}
        for listed in re.findall(r"kOtherKeys\{(.*?)\}", text, flags=re.S):
            keys |= set(re.findall(r'"(\w+)"', listed))
    kinds = (root / "lib/clampbook/schedule/stage_kind.h").read_text(encoding="utf-8")
    return keys | set(re.findall(r'\.name = "(\w+)"', kinds))


def told_keys(page):
    """The words in code of the first column of every table that explains keys, and of the braces in the others."""
    schedule = page[page.index("## Top level"):page.index("## Words for the command line")]
    first, all_code = set(), set()
    for row in re.findall(r"^\| (.*) \|$", schedule, flags=re.M):
        cells = row.split(" | ")
        first |= set(re.findall(r"`(\w+)`", cells[0])) if len(cells) > 3 else set()
        all_code |= set(re.findall(r"`(\w+)`", row))
    all_code |= {key for code in re.findall(r"`([^`]*)`", schedule) for key in re.findall(r"\b(\w+):", code)}
    return first, all_code


def keys(root, page):
    read = reader_keys(root)
    first, told = told_keys(page)
    yield from (f"the readers know the key '{key}', the page does not" for key in sorted(read - told))
    yield from (f"the page explains the key '{key}', no reader knows it" for key in sorted(first - read))
    if len(read) < 40:
        yield f"only {len(read)} keys were found in the readers"


def tool_keys(root):
    reader = (root / TOOL_READER).read_text(encoding="utf-8")
    page = (root / "docs/tools.md").read_text(encoding="utf-8")
    read = set(re.findall(r'\b(?:take|need|measured|text_or_empty)\("(\w+)"|\bread_(?:date|kind)\(form, "(\w+)"', reader))
    read = {key for pair in read for key in pair if key}
    code = re.findall(r"`([^`\n]*)`", page) + re.findall(r"^```yaml\n(.*?)^```", page, flags=re.M | re.S)
    told = {word for text in code for word in re.findall(r"^\w+$|\b\w+(?=:)", text, flags=re.M)}
    yield from (f"the reader of tools knows the key '{key}', docs/tools.md does not" for key in sorted(read - told))
    if len(read) < 17:
        yield f"only {len(read)} keys were found in the reader of tools"


def main(program, root):
    page = (root / "docs/format.md").read_text(encoding="utf-8")
    offences = [*examples(program, page), *windows(program, page), *keys(root, page), *tool_keys(root)]
    for offence in offences:
        print(offence)
    return 1 if offences else 0


if __name__ == "__main__":
    if len(sys.argv) != 3:
        raise SystemExit("usage: format_doc.py PROGRAM SOURCE_DIR")
    sys.exit(main(sys.argv[1], pathlib.Path(sys.argv[2])))
