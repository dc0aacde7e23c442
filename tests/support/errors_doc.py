"""Runs the examples of docs/errors.md, and sees that each error has one, under the table that lists it.

usage: errors_doc.py PROGRAM SOURCE_DIR [--show]. With --show it prints each example as it comes out.

An example is a command or lines of cover.yaml, and below it the first line of what is printed:

  console   "$ clampbook WORDS", then that line; a line "# ..." is for people
  yaml      lines that take the place of those with their keys, or go to the end; then that line behind "# ". A block
            that begins with the format is the schedule for the lines after it.

Comments that a reader does not see, each on a line of its own, say what was there before:

  <!-- at TIME -->               freezes the clock of what follows
  <!-- bytes NAME TEXT -->       this file, of one line; \\xNN stand for bytes
  <!-- replace NAME OLD NEW -->  an editor's change in it
  <!-- before WORDS -->          a run of the program, which must end with 0
  <!-- inject WORDS -->          calls of the next command fail, in the words of golden.py

The examples of cautions show the text of the caution, whatever else is printed. A finding names a recorded session
instead; a run of it must show that.
"""
import json
import os
import pathlib
import re
import shlex
import shutil
import sys
import tempfile

from golden import run, unescape
from slugs import Session, in_document

# A fault of the program has no input that shows it; of a limit of memory, see tests/robust.
NO_EXAMPLE = {"internal", "out-of-memory"}


def steps(text):
    """(section, kind, argument, expected line) in order; the section is the heading above it."""
    section = None
    for found in re.finditer(r"^#+ (?P<heading>[^\n]*)$|^<!-- (?P<word>at|bytes|replace|before|inject) (?P<argument>[^\n]*) -->$|^```(?P<language>\w+)\n(?P<block>.*?)^```$", text, re.S | re.M):
        if found["heading"]:
            section = found["heading"]
        elif found["word"]:
            yield section, found["word"], found["argument"], None
        elif found["language"] == "console":
            lines = [line for line in found["block"].splitlines() if not line.startswith("# ")]
            yield from ((section, "run", line[2:], after) for line, after in zip(lines[::2], lines[1::2]))
        elif found["language"] == "yaml":
            lines = found["block"].splitlines()
            if lines[0].startswith("format:") and not lines[1].startswith("# "):
                yield section, "schedule", found["block"], None
            else:
                yield from ((section, "lines", *pair) for pair in re.findall(r"((?:^(?!# ).*\n)+)# (.*)\n", found["block"], re.M))


def with_lines(schedule, changes):
    lines = schedule.splitlines()
    for line in changes.splitlines():
        key = line.split(":")[0] + ":"
        place = next((i for i, old in enumerate(lines) if ":" in line and old.startswith(key)), len(lines))
        lines[place:place + 1] = [line]
    return "\n".join(lines) + "\n"


class Player:
    def __init__(self, program, folder):
        self.program, self.folder = program, folder
        self.when, self.injections, self.schedule = None, "", ""

    def call(self, words, caution=None):
        if caution:
            _, out, _ = run(self.program, [*words, "--json"], self.when, b"", self.folder)
            told = [f"{c['text']} [{c['slug']}]" for c in json.loads(out or '{"cautions":[]}')["cautions"]]
            return 0, next((c for c in told if c.endswith(caution)), "; ".join(told))
        status, out, err = run(self.program, words, self.when, b"", self.folder, self.injections)
        self.injections = ""
        return status, (out + err).split("\n")[0]

    def play(self, kind, argument, caution=None):
        """What becomes of a step: for an example its exit status and the first line of what is printed."""
        name, _, rest = argument.partition(" ")
        if kind == "at":
            self.when = argument
        elif kind == "inject":
            self.injections = argument
        elif kind == "bytes":
            (self.folder / name).write_bytes(unescape(rest + "\n" if rest else ""))
        elif kind == "replace":
            old, new = rest.encode("utf-8").split(b" ")
            before = (self.folder / name).read_bytes()
            if before.count(old) != 1:
                raise SystemExit(f"{name} does not hold {old} once")
            (self.folder / name).write_bytes(before.replace(old, new))
        elif kind == "before":
            status, line = self.call(shlex.split(argument)[1:])
            if status != 0:
                raise SystemExit(f"{argument}: {line}")
        elif kind == "schedule":
            self.schedule = argument
            (self.folder / "cover.yaml").write_text(argument, encoding="utf-8")
        elif kind == "run":
            return self.call(shlex.split(argument)[1:], caution)
        elif kind == "lines":
            (self.folder / "cover.yaml").write_text(with_lines(self.schedule, argument), encoding="utf-8")
            answer = self.call(["plan", "cover.yaml"], caution)
            (self.folder / "cover.yaml").write_text(self.schedule, encoding="utf-8")
            return answer
        return None


def sections_of(text):
    """The heading under which the tables list each error."""
    out, section = {}, None
    for line in text.splitlines():
        heading, row = re.match(r"#+ (.*)", line), re.match(r"\| `([a-z0-9-]+)` \| \d+ \|", line)
        if heading:
            section = heading[1]
        if row:
            out[row[1]] = section
    return out


def examples(program, text, folder, show):
    """Complaints about the examples of errors and of cautions."""
    player = Player(program, folder)
    kinds, status_of = in_document(text)
    section_of, shown, cautioned = sections_of(text), set(), set()
    for section, kind, argument, expected in steps(text):
        slug = re.search(r"\[[a-z0-9-]+\]$", expected or "")
        answer = player.play(kind, argument, slug[0] if slug and section == "Cautions" else None)
        if answer is None:
            continue
        status, line = answer
        if show:
            print(f"{argument}\n  {line}")
        if line != expected or not slug:
            yield f"{argument}\n--- the document\n{expected}\n--- the program\n{line}"
        elif section == "Cautions":
            cautioned.add(slug[0][1:-1])
        elif status_of.get(slug[0][1:-1]) != str(status):
            yield f"{argument}: ends with {status}: {line}"
        elif section_of[slug[0][1:-1]] != section:
            yield f"{argument}: stands under '{section}', the table of {slug[0]} under '{section_of[slug[0][1:-1]]}'"
        else:
            shown.add(slug[0][1:-1])
    yield from (f"the error {slug} has no example" for slug in section_of if slug not in shown | NO_EXAMPLE)
    yield from (f"the caution {slug} has no example" for slug in kinds["caution"] if slug not in cautioned)


def named_sessions(text, tests):
    """Complaints about the sessions that findings name."""
    kinds, _ = in_document(text)
    named = set()
    for slug, place in re.findall(r"^\| `([a-z0-9-]+)` \| \[[^]]*\]\(\.\./tests/([^)]*)\) \|$", text, re.M):
        if not (tests / place).exists():
            yield f"{slug}: there is no session {place}"
            continue
        said = "\n".join(r["stdout"] for r in Session(tests / place).runs)
        if f"[{slug}]" not in said:
            yield f"{slug}: {place} does not show it"
        named.add(slug)
    yield from (f"{slug}: names no session" for slug in kinds["finding"] if slug not in named)


def main(program, root, show):
    text = (root / "docs/errors.md").read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        shutil.copytree(root / "schedules", folder / "schedules")
        offences = [*examples(program, text, folder, show), *named_sessions(text, root / "tests")]
    for offence in offences:
        print(offence)
    return 1 if offences else 0


if __name__ == "__main__":
    if len(sys.argv) not in (3, 4):
        raise SystemExit("usage: errors_doc.py PROGRAM SOURCE_DIR [--show]")
    sys.exit(main(os.path.abspath(sys.argv[1]), pathlib.Path(sys.argv[2]).resolve(), "--show" in sys.argv))
