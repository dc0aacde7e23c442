"""Runs the console blocks of a document and holds it to what they print.

usage: readme.py PROGRAM DOCUMENT. Lines that begin with "$ clampbook" are run, one after the other in one folder that
holds practice-cover.yaml and the shipped schedules; a line "..." stands for any lines.
"""
import os
import pathlib
import re
import shlex
import shutil
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent


def blocks(text):
    return re.findall(r"^```console\n(.*?)^```$", text, re.S | re.M)


def commands(block):
    """(command line, expected output) for each."""
    parts = re.split(r"^\$ (.*)\n", block, flags=re.M)
    return list(zip(parts[1::2], parts[2::2]))


def matches(expected, found):
    pattern = "".join(r"(?:.*\n)*" if line == "..." else re.escape(line) + r"\n" for line in expected.splitlines())
    return re.fullmatch(pattern, found) is not None


def main(program, document):
    env = dict(os.environ, LC_ALL="C.UTF-8", TZ="UTC", ASAN_OPTIONS="detect_leaks=0")
    count = bad = 0
    with tempfile.TemporaryDirectory() as folder:
        shutil.copy(HERE.parent / "data" / "three-bolts.yaml", pathlib.Path(folder, "practice-cover.yaml"))
        shutil.copytree(HERE.parent.parent / "schedules", pathlib.Path(folder, "schedules"))
        for block in blocks(pathlib.Path(document).read_text(encoding="utf-8")):
            for command, expected in commands(block):
                words = shlex.split(command)
                if words[0] != "clampbook":
                    print(f"not a command of ours: {command}")
                    return 1
                done = subprocess.run([program] + words[1:], cwd=folder, env=env, capture_output=True, text=True, timeout=60)
                count += 1
                if not matches(expected, done.stdout + done.stderr):
                    bad += 1
                    print(f"$ {command}\n--- the document\n{expected}--- the program\n{done.stdout}{done.stderr}")
    print(f"{count} commands, {bad} differ")
    return 0 if count > 0 and bad == 0 else 1


if __name__ == "__main__":
    sys.exit(main(os.path.abspath(sys.argv[1]), sys.argv[2]))
