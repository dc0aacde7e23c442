"""Runs the console blocks of a document and holds it to what they print.

usage: readme.py PROGRAM DOCUMENT [--show]. With --show it prints what the program says instead of comparing.

Lines that begin with "$ clampbook" are run, one after the other in one folder that holds practice-cover.yaml and the
shipped schedules; "$ echo $?" is the exit status of the last one; a line "..." stands for any lines. Comments that a
reader does not see, each on a line of its own:

  <!-- at TIME -->     freezes the clock of what follows, e.g. 2026-05-04 09:30:00
  <!-- file NAME -->   the next block is this file: it is written, or, when it is a shipped one, it must be the same
"""
import os
import pathlib
import re
import shlex
import shutil
import sys
import tempfile

from golden import run, tidy

HERE = pathlib.Path(__file__).resolve().parent


def parts(text):
    """(kind, body): each clock, each file as (name, text), each command as (words, expected output), in order."""
    name = None
    for found in re.finditer(r"^<!-- (at|file) ([^\n]*) -->$|^```(\w*)\n(.*?)^```$", text, re.S | re.M):
        word, argument, language, block = found.groups()
        if word == "at":
            yield "at", argument
        elif word == "file":
            name = argument
        elif name:
            yield "file", (name, block)
            name = None
        elif language == "console":
            pieces = re.split(r"^\$ (.*)\n", block, flags=re.M)
            yield from (("run", pair) for pair in zip(pieces[1::2], pieces[2::2]))
    if name:
        raise SystemExit(f"no block follows the comment on the file {name}")


def matches(expected, found):
    # A seal differs from book to book, as it does in recorded sessions.
    lines = tidy(expected.encode("utf-8")).splitlines()
    pattern = "".join(r"(?:.*\n)*" if line == "..." else re.escape(line) + r"\n" for line in lines)
    return re.fullmatch(pattern, found) is not None


def same_file(path, text):
    """A file that is there is compared, one that is not is written."""
    if not path.exists():
        path.write_text(text, encoding="utf-8")
    return path.read_text(encoding="utf-8") == text


class Reader:
    def __init__(self, program, folder, show):
        self.program, self.folder, self.show = program, folder, show
        self.when, self.status, self.count, self.bad = None, 0, 0, 0

    def complain(self, text):
        self.bad += 1
        print(text)

    def command(self, line, expected):
        words = shlex.split(line)
        if words == ["echo", "$?"]:
            found = f"{self.status}\n"
        elif words[0] == "clampbook":
            self.count += 1
            self.status, out, err = run(self.program, words[1:], self.when, b"", self.folder)
            found = out + err
        else:
            raise SystemExit(f"not a command of ours: {line}")
        if self.show:
            print(f"$ {line}\n{found}", end="")
        elif not matches(expected, found):
            self.complain(f"$ {line}\n--- the document\n{expected}--- the program\n{found}")

    def read(self, text):
        for kind, argument in parts(text):
            if kind == "at":
                self.when = argument
            elif kind == "run":
                self.command(*argument)
            elif not same_file(self.folder / argument[0], argument[1]):
                self.complain(f"the document shows another {argument[0]} than the one that is shipped")


def main(program, document, show):
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        shutil.copy(HERE.parent / "data" / "three-bolts.yaml", folder / "practice-cover.yaml")
        shutil.copytree(HERE.parent.parent / "schedules", folder / "schedules")
        reader = Reader(program, folder, show)
        reader.read(pathlib.Path(document).read_text(encoding="utf-8"))
    if not show:
        print(f"{reader.count} commands, {reader.bad} differ")
    return 0 if reader.count > 0 and reader.bad == 0 else 1


if __name__ == "__main__":
    sys.exit(main(os.path.abspath(sys.argv[1]), sys.argv[2], "--show" in sys.argv))
