"""Walks through docs/paper.md: the commands run in one folder, and what stands on the page is what comes out.

usage: paper_doc.py PROGRAM SOURCE_DIR

A block that names a file either is that file, when no command has made it, or must be what a command has made. The clock
stands at the time that the page names. mended.csv is typed.csv with the one cell that the page mends.
"""
import os
import pathlib
import re
import subprocess
import sys
import tempfile

from golden import tidy
from readme import matches

FROZEN = "2026-05-04 09:30:00"


def blocks(text):
    """(kind, file name or None, content)"""
    return re.findall(r"^```(\w+)(?: (\S+))?\n(.*?)^```$", text, re.S | re.M)


def commands(block):
    """(command line, expected output) for each."""
    pieces = re.split(r"^\$ (.*)\n", block, flags=re.M)
    return list(zip(pieces[1::2], pieces[2::2]))


def run(command, folder, program):
    (folder / "bin").mkdir(exist_ok=True)
    shim = folder / "bin" / "clampbook"
    if not shim.exists():
        shim.symlink_to(program)
    env = {**os.environ, "LC_ALL": "C.UTF-8", "TZ": "UTC", "PATH": f"{folder / 'bin'}:{os.environ['PATH']}",
           "ASAN_OPTIONS": "verify_asan_link_order=0:detect_leaks=0"}
    done = subprocess.run(["faketime", "-f", FROZEN, "sh", "-c", command], cwd=folder, env=env, capture_output=True, timeout=60)
    return tidy(done.stdout + done.stderr)


def walk(program, page, folder):
    counts = {"commands": 0, "files": 0}
    for kind, name, content in blocks(page):
        if name and not (folder / name).exists():
            (folder / name).write_text(content, encoding="utf-8")
            if name == "typed.csv":
                mended, cells = re.subn(r"^2,12,", "2,12Nm,", content, flags=re.M)
                if cells != 1:
                    yield "the row that the page mends is not in typed.csv"
                (folder / "mended.csv").write_text(mended, encoding="utf-8")
        elif name:
            counts["files"] += 1
            made = (folder / name).read_text(encoding="utf-8")
            if made != content:
                yield f"{name}\n--- the page\n{content}--- the program\n{made}"
        elif kind == "console":
            for command, expected in commands(content):
                counts["commands"] += 1
                found = run(command, folder, program)
                if not matches(expected, found):
                    yield f"$ {command}\n--- the page\n{expected}--- the program\n{found}"
    if counts != {"commands": 5, "files": 1}:
        yield f"the page has {counts}"


def main(program, root):
    page = (pathlib.Path(root) / "docs" / "paper.md").read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        offences = list(walk(program, page, pathlib.Path(folder)))
    for offence in offences:
        print(offence)
    return 1 if offences else 0


if __name__ == "__main__":
    if len(sys.argv) != 3:
        raise SystemExit("usage: paper_doc.py PROGRAM SOURCE_DIR")
    sys.exit(main(os.path.abspath(sys.argv[1]), sys.argv[2]))
