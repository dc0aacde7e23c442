"""Types the sessions of a document on a real terminal and holds it to what appears.

usage: document.py PROGRAM DOCUMENT

A block "```terminal BOOK SCHEDULE" begins a pass and a guide; a block "```terminal" goes on with it. What stands behind
"> " is typed; a line "..." stands for any lines; all others must appear, in their order and with nothing between.
"""
import os
import pathlib
import re
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from crash_lab import environment
from terminal import Terminal

PROGRAM, DOCUMENT = os.path.abspath(sys.argv[1]), pathlib.Path(sys.argv[2]).resolve()
BLOCK = re.compile(r"^```terminal ?([^\n]*)\n(.*?)^```$", re.S | re.M)


def follow(terminal, lines):
    gap = True  # anything may stand before the first line of a block
    for line in lines:
        if line == "...":
            gap = True
            continue
        prompt = re.match(r"^(.*> )(\S.*)$", line) if not line.startswith(" ") else None
        text = re.escape(prompt[1]) if prompt else re.escape(line) + r"\r\n"
        found = terminal.wait_for(("" if gap else r"\A\a*") + text)
        if not gap and found.start() != 0:
            raise AssertionError(f"something stands before {line!r}")
        gap = False
        if prompt:
            terminal.type(prompt[2])
            terminal.wait_for(re.escape(prompt[2]) + r"\r\n")  # its echo


def main():
    blocks = BLOCK.findall(DOCUMENT.read_text(encoding="utf-8"))
    if not blocks:
        sys.exit(f"{DOCUMENT.name} holds no session")
    with tempfile.TemporaryDirectory(prefix="clampbook-document-") as folder:
        terminal = None
        for words, body in blocks:
            if words:
                book, schedule = words.split()
                subprocess.run([PROGRAM, "begin", book, DOCUMENT.parents[1] / schedule], cwd=folder, env=environment(), check=True, capture_output=True)
                terminal = Terminal([PROGRAM, "guide", book], folder)
            follow(terminal, body.splitlines())
        terminal.kill()


main()
