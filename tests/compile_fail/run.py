"""Compiles one file of this folder and judges the compiler's answer.

Usage: run.py COMPILER INCLUDE_DIRECTORY FILE [FLAG...]

A file that begins with `// expect: REGEX` must not compile, and the compiler must say so in words that match
and in no more than MOST bytes: a message that nobody reads to its end protects nobody. A file that begins with
`// compiles` is the control: were the include path wrong, everything else would fail for that reason.
"""

import os
import re
import subprocess
import sys

MOST = 14_000


def main() -> int:
    compiler, include, path, *flags = sys.argv[1:]
    with open(path, encoding="utf-8") as file:
        first = file.readline().rstrip("\n")
    command = [compiler, "-std=c++20", "-fsyntax-only", "-I", include, *flags, path]
    done = subprocess.run(command, capture_output=True, text=True, check=False, env={**os.environ, "LC_ALL": "C"})
    said = done.stdout + done.stderr
    if first == "// compiles":
        if done.returncode != 0:
            print(f"{path} must compile:\n{said}")
        return 0 if done.returncode == 0 else 1
    if not first.startswith("// expect: "):
        print(f"{path} begins with neither '// compiles' nor '// expect: REGEX'")
        return 1
    wanted = first.removeprefix("// expect: ")
    if done.returncode == 0:
        print(f"{path} compiles, and must not")
        return 1
    if not re.search(wanted, said):
        print(f"{path} fails with other words than /{wanted}/:\n{said}")
        return 1
    if len(said) > MOST:
        print(f"{path} fails with {len(said)} bytes of message; {MOST} are the most")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
