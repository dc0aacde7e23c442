"""Books of earlier programs are read as they always were.

usage: kept_books.py PROGRAM FOLDER [--update]

Runs `check --json` and `history --json` on every NAME.book of the folder and compares with NAME.json beside it; --update
writes that file.
"""
import json
import os
import pathlib
import subprocess
import sys


def told(program, book):
    """What the program says of the book, by verb: its exit status and its JSON."""
    env = dict(os.environ, LC_ALL="C.UTF-8", TZ="UTC", ASAN_OPTIONS="verify_asan_link_order=0:detect_leaks=0")
    out = {}
    for verb in ("check", "history"):
        done = subprocess.run([program, verb, book.name, "--json"], cwd=book.parent, env=env, capture_output=True, timeout=60)
        out[verb] = {"exit": done.returncode, "says": json.loads(done.stdout or done.stderr)}
    return out


def main(program, folder, update):
    program, books, bad = os.path.abspath(program), sorted(pathlib.Path(folder).glob("*.book")), 0
    for book in books:
        expected = book.with_suffix(".json")
        found = told(program, book)
        if update:
            expected.write_text(json.dumps(found, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
        elif found != json.loads(expected.read_text(encoding="utf-8")):
            bad += 1
            print(f"{book.name}: another answer than the one kept")
    print(f"{len(books)} books, {bad} read otherwise")
    return 0 if bad == 0 and len(books) > 20 else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2], "--update" in sys.argv[3:]))
