"""Holds docs/errors.md to the slugs that the sources can produce, and each schedule error to a recorded case.

usage: slugs.py SOURCE_DIR. Prints each offence and exits with 1.

A slug is a literal of lower-case words joined by hyphens, wherever it stands, or one word where a diagnostic, a
finding or a caution is made. So a new slug can't be missed because it is made in a new way.
"""
import pathlib
import re
import sys

HYPHENATED = re.compile(r'"([a-z]+(?:-[a-z0-9]+)+)"')
# One word: where a message is made. A choice of two counts with both.
MADE = re.compile(r'(?:Diagnostic(?:\s+\w+)?\{|\.slug = (?:std::string\()?|\b(?:error|refuse|refuse_whole|fail|about)\((?:\w+, )?|\badd\(\{?)"([a-z]+)"')
CHOSEN = re.compile(r'\bslug = \w+ \? "([a-z]+)" : "([a-z]+)"')
SECTIONS = {"Errors": "error", "Findings": "finding", "Cautions": "caution"}
# The rooms that read what a schedule says.
READERS = ("lib/clampbook/text/", "lib/clampbook/units/", "lib/clampbook/schedule/")


def strip_comments(text):
    return re.sub(r'("(?:[^"\\\n]|\\.)*")|//[^\n]*', lambda m: m[1] or "", text)


def not_slugs(root):
    """Words of the same form that mean something else: units in ASCII, and the name of an encoding."""
    units = (root / "lib/clampbook/units/unit_table.h").read_text(encoding="utf-8")
    return set(HYPHENATED.findall(units)) | {"utf-8"}


def in_sources(root):
    """Every slug with the files that hold it."""
    found = {}
    ignored = not_slugs(root)
    for path in sorted([*root.glob("lib/clampbook/**/*"), *root.glob("cli/*")]):
        if path.suffix not in (".cpp", ".h"):
            continue
        text = strip_comments(path.read_text(encoding="utf-8"))
        chosen = {slug for pair in CHOSEN.findall(text) for slug in pair}
        for slug in {*HYPHENATED.findall(text), *MADE.findall(text), *chosen} - ignored:
            found.setdefault(slug, set()).add(path.relative_to(root).as_posix())
    return found


def in_document(text):
    """What the tables list: for each kind the slugs, and the exit status of each error."""
    kinds = {kind: [] for kind in SECTIONS.values()}
    status = {}
    kind = None
    for line in text.splitlines():
        heading = re.match(r"## (.*)", line)
        if heading:
            kind = SECTIONS.get(heading[1])
        row = re.match(r"\| `([a-z0-9-]+)` \| (\w*)", line)
        if row and kind:
            kinds[kind].append(row[1])
            if kind == "error":
                status[row[1]] = row[2]
    return kinds, status


def recorded(root):
    """Of all recorded sessions: the slugs of the errors with the exit status of their runs, and those of diagnostic/."""
    runs, of_schedules = [], set()
    for path in sorted([*root.glob("tests/golden/*.test"), *root.glob("tests/diagnostic/*.test")]):
        # A run ends where the next begins; without [exit] it ended with 0.
        for run in re.split(r"^\[run\]", path.read_text(encoding="utf-8"), flags=re.M)[1:]:
            stderr = re.search(r"^\[stderr\]\n(.*?)(?=^\[(?:stdout|exit|file|at|stdin)\b|\Z)", run, flags=re.M | re.S)
            ended = re.search(r"^\[exit\] (\d+)", run, flags=re.M)
            slugs = re.findall(r"error: .* \[([a-z0-9-]+)\]$", stderr[1], flags=re.M) if stderr else []
            runs += [(path.name, slug, ended[1] if ended else "0") for slug in slugs]
            if path.parent.name == "diagnostic":
                of_schedules.update(slugs)
    return runs, of_schedules


def main(root):
    sources = in_sources(root)
    kinds, status = in_document((root / "docs/errors.md").read_text(encoding="utf-8"))
    runs, of_schedules = recorded(root)
    listed = {slug for slugs in kinds.values() for slug in slugs}
    offences = [f"docs/errors.md lists no {kind}" for kind, slugs in kinds.items() if not slugs]
    if not sources or not runs:
        offences.append("no slug was found in the sources, or no recorded session")
    for kind, slugs in kinds.items():
        offences += [f"docs/errors.md lists the {kind} {s} twice" for s in sorted(set(slugs)) if slugs.count(s) > 1]
    offences += [f"{slug}: in {', '.join(sorted(files))}, but not in docs/errors.md"
                 for slug, files in sorted(sources.items()) if slug not in listed]
    offences += [f"{slug}: in docs/errors.md, but in no source" for slug in sorted(listed - set(sources))]
    offences += [f"{slug}: a schedule can cause it ({sorted(files)[0]}), but no case of tests/diagnostic shows it"
                 for slug, files in sorted(sources.items())
                 if slug in status and any(f.startswith(READERS) for f in files) and slug not in of_schedules]
    offences += [f"{name}: {slug} ended with {ended}, docs/errors.md says {status[slug]}"
                 for name, slug, ended in runs if slug in status and ended != status[slug]]
    for offence in offences:
        print(offence)
    return 1 if offences else 0


if __name__ == "__main__":
    if len(sys.argv) != 2:
        raise SystemExit("usage: slugs.py SOURCE_DIR")
    sys.exit(main(pathlib.Path(sys.argv[1])))
