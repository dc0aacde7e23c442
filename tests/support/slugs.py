"""Holds docs/errors.md to the slugs that the sources can produce, and each error and finding to recorded sessions.

usage: slugs.py SOURCE_DIR. Prints each offence and exits with 1.

A slug is a literal of lower-case words joined by hyphens, wherever it stands, or one word where a diagnostic, a
finding or a caution is made. So a new slug can't be missed because it is made in a new way.

Each error of a schedule is shown by a case of tests/diagnostic, each other error by a run of a verb that keeps the
record. Each finding is shown by a run of `check`, and some case misses it by a hair: it says so above its first
section, "# absent: SLUG: WHY". No run of `check` in such a case shows the slug, and one comes after the last entry.
"""
import pathlib
import re
import shlex
import sys

from golden import parse

HYPHENATED = re.compile(r'"([a-z]+(?:-[a-z0-9]+)+)"')
# One word: where a message is made. A choice of two counts with both.
MADE = re.compile(r'(?:Diagnostic(?:\s+\w+)?\{|\.slug = (?:std::string\()?|\bslug\{|\b(?:error|refuse|refuse_whole|fail|about|plain)\((?:\w+, )?|\badd\(\{?|\bunread\([^;"{]*?)"([a-z]+)"', re.DOTALL)
CHOSEN = re.compile(r'\bslug = \w+ \? "([a-z]+)" : "([a-z]+)"')
SECTIONS = {"Errors": "error", "Findings": "finding", "Cautions": "caution", "Lines that the guide does not record": "reason"}
# The rooms that read what a schedule says.
READERS = ("lib/clampbook/text/", "lib/clampbook/units/", "lib/clampbook/schedule/")
RECORD_VERBS = ("begin", "log", "amend", "check", "report", "history")
# What no recorded run of a verb can cause: a word that is none, a fault of our own, a limit (tests/robust sets it).
NO_RECORD_VERB = {"unknown-verb", "internal", "out-of-memory"}


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
        row = re.match(r"\| `([a-z0-9-]+)` \| ([^|]*?) *\|", line)
        if row and kind:
            kinds[kind].append(row[1])
            if kind == "error":
                status[row[1]] = row[2]
    return kinds, status


class Session:
    """A recorded case: what it declares, and of each run the words, what it printed, and how it ended."""

    def __init__(self, path):
        text = path.read_text(encoding="utf-8")
        self.name, self.of_schedules = path.name, path.parent.name == "diagnostic"
        self.absent = [line.removeprefix("# absent:").strip() for line in text.splitlines() if line.startswith("# absent:")]
        self.runs = []
        for kind, argument, lines in parse(text):
            if kind == "run":
                self.runs.append({"words": shlex.split(argument), "stdout": "", "stderr": "", "exit": "0"})
            elif kind in ("stdout", "stderr"):
                self.runs[-1][kind] = "\n".join(lines)
            elif kind == "exit":
                self.runs[-1]["exit"] = argument

    def errors(self):
        """(verb, slug, exit status) of each error that was printed."""
        for run in self.runs:
            for slug in re.findall(r"error: .* \[([a-z0-9-]+)\]$", run["stderr"], flags=re.M):
                yield run["words"][0] if run["words"] else "", slug, run["exit"]

    def found(self):
        """The findings that `check` shows."""
        said = "\n".join(run["stdout"] for run in self.runs if run["words"][:1] == ["check"])
        return set(re.findall(r"\[([a-z-]+)\]$", said, flags=re.M)) | set(re.findall(r'"slug":"([a-z-]+)","severity"', said))

    def ends_with_a_check(self):
        """An entry after the last check would be judged by none."""
        verbs = [run["words"][0] for run in self.runs if run["words"] and run["words"][0] in ("begin", "log", "amend", "check")]
        return verbs[-1:] == ["check"]


def unshown_errors(sources, status, sessions):
    """Errors without a recorded session."""
    of_schedules = {slug for s in sessions if s.of_schedules for _, slug, _ in s.errors()}
    of_records = {slug for s in sessions for verb, slug, _ in s.errors() if verb in RECORD_VERBS}
    for slug, files in sorted(sources.items()):
        if slug not in status or slug in NO_RECORD_VERB:
            continue
        if any(f.startswith(READERS) for f in files):
            if slug not in of_schedules:
                yield f"{slug}: a schedule can cause it ({sorted(files)[0]}), but no case of tests/diagnostic shows it"
        elif slug not in of_records:
            yield f"{slug}: {', '.join(sorted(files))} can cause it, but no recorded run of {', '.join(RECORD_VERBS)} shows it"


def unshown_findings(findings, sessions):
    """Findings that no check shows or no near miss avoids, and near misses that are none."""
    shown, avoided = set(), set()
    for session in sessions:
        found = session.found()
        shown |= found
        for line in session.absent:
            slug, _, why = line.partition(": ")
            avoided.add(slug)
            if slug not in findings:
                yield f"{session.name}: declares that {slug} is absent, which is no finding"
            if not why:
                yield f"{session.name}: does not say how {slug} is nearly there: '# absent: {slug}: WHY'"
            if slug in found:
                yield f"{session.name}: declares that {slug} is absent, but a check shows it"
        if session.absent and not session.ends_with_a_check():
            yield f"{session.name}: declares what is absent, but runs no check after its last entry"
    yield from (f"{slug}: no recorded check shows it" for slug in sorted(set(findings) - shown))
    yield from (f"{slug}: no case declares that it is absent" for slug in sorted(set(findings) - avoided))


def main(root):
    sources = in_sources(root)
    kinds, status = in_document((root / "docs/errors.md").read_text(encoding="utf-8"))
    sessions = [Session(path) for path in sorted([*root.glob("tests/golden/*.test"), *root.glob("tests/diagnostic/*.test")])]
    listed = {slug for slugs in kinds.values() for slug in slugs}
    offences = [f"docs/errors.md lists no {kind}" for kind, slugs in kinds.items() if not slugs]
    if not sources or not sessions:
        offences.append("no slug was found in the sources, or no recorded session")
    for kind, slugs in kinds.items():
        offences += [f"docs/errors.md lists the {kind} {s} twice" for s in sorted(set(slugs)) if slugs.count(s) > 1]
    offences += [f"{slug}: in {', '.join(sorted(files))}, but not in docs/errors.md"
                 for slug, files in sorted(sources.items()) if slug not in listed]
    offences += [f"{slug}: in docs/errors.md, but in no source" for slug in sorted(listed - set(sources))]
    offences += [f"{session.name}: {slug} ended with {ended}, docs/errors.md says {status[slug]}"
                 for session in sessions for _, slug, ended in session.errors() if slug in status and ended != status[slug]]
    offences += [*unshown_errors(sources, status, sessions), *unshown_findings(kinds["finding"], sessions)]
    for offence in offences:
        print(offence)
    return 1 if offences else 0


if __name__ == "__main__":
    if len(sys.argv) != 2:
        raise SystemExit("usage: slugs.py SOURCE_DIR")
    sys.exit(main(pathlib.Path(sys.argv[1])))
