"""Runs one recorded command session and compares all that it prints.

usage: golden.py PROGRAM CASE [--update]

A case is a text file. Lines that begin with "#" before the first section are its purpose: symptom first, then the
date for a mended bug. "# absent: SLUG: WHY" declares a near miss: slugs.py holds the case to it. Sections:

  [file NAME]       writes a file (to the next section); \\xNN escapes stand for bytes, "\\" at a line's end joins lines
  [append NAME]     adds to a file, the last line without its line feed: a write that was cut off
  [cut NAME]        takes the line feed off a file's end
  [replace NAME]    its first line stands in the file once, and gives way to its second: an editor's change
  [at TIME]         freezes the clock of the following runs, e.g. 2026-05-04 09:30:00
  [inject WORDS]    the next run's system calls fail: strace's words, e.g. fdatasync:error=EIO; a word without a colon
                    is a file, and then only calls on it count
  [run] ARGUMENTS   runs the program, words as in a shell; $DATA is the tests folder, $SCHEDULES the shipped examples
  [stdin]           what the next run gets on standard input
  [stdout] [stderr] what it must print, exactly; 32 hexadecimal digits in a row count as <seal>, the two
                    folders as their names
  [exit] N          how it must end; 0 when left out

Everything happens in a folder of its own.
"""
import os
import pathlib
import re
import shlex
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent


def parse(text):
    """A list of (kind, argument, body lines)."""
    sections = []
    for line in text.split("\n"):
        match = re.match(r"^\[(file|append|cut|replace|at|inject) ([^\]]*)\]$", line) or re.match(r"^\[(run|exit)\] ?(.*)$", line) or re.match(r"^\[(stdin|stdout|stderr)\]()$", line)
        if match:
            sections.append([match[1], match[2], []])
        elif sections:
            sections[-1][2].append(line)
        elif line and not line.startswith("#"):
            raise SystemExit(f"a line before the first section: {line}")
    return sections


def body(lines):
    text = "\n".join(lines)
    return text.rstrip("\n") + "\n" if text.strip("\n") else ""


def unescape(text):
    raw = text.encode("utf-8")
    raw = re.sub(rb"\\\n", b"", raw)
    return re.sub(rb"\\x([0-9a-f]{2})", lambda m: bytes([int(m[1], 16)]), raw)


def tidy(raw):
    text = raw.decode("utf-8", "backslashreplace")
    # Where the project lies is no part of a session.
    text = text.replace(str(HERE.parent.parent / "schedules"), "$SCHEDULES").replace(str(HERE.parent), "$DATA")
    return re.sub(r"\b[0-9a-f]{32}\b", "<seal>", text)


def environment():
    env = {k: v for k, v in os.environ.items() if not k.startswith("LC_") and k not in ("LANG", "TZ", "NO_COLOR")}
    env.update(LC_ALL="C.UTF-8", TZ="UTC", TERM="dumb",
               ASAN_OPTIONS="verify_asan_link_order=0:detect_leaks=0", SCHEDULES=str(HERE.parent.parent / "schedules"),
               DATA=str(HERE.parent))
    return env


def change(kind, path, lines):
    """What happens to a file between two runs."""
    if kind == "file":
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(unescape(body(lines)))
        return
    before = path.read_bytes()
    if kind == "append":
        path.write_bytes(before + unescape(body(lines)).removesuffix(b"\n"))
    elif kind == "cut":
        if not before.endswith(b"\n"):
            raise SystemExit(f"{path.name} does not end in a line feed")
        path.write_bytes(before[:-1])
    else:
        old, new = (line.encode("utf-8") for line in body(lines).splitlines())
        if before.count(old) != 1:
            raise SystemExit(f"{path.name} holds {before.count(old)} times: {old.decode()}")
        path.write_bytes(before.replace(old, new))


def failing(injections):
    """The words that make system calls fail."""
    words = injections.split()
    calls = [word for word in words if ":" in word]
    out = ["strace", "-f", "--quiet=all", "-o", os.devnull, "-e", "trace=" + ",".join(c.split(":")[0] for c in calls)]
    for call in calls:
        out += ["-e", f"inject={call}"]
    for path in set(words) - set(calls):
        out += ["-P", path]
    return out


def run(program, words, when, stdin, folder, injections=""):
    env = environment()
    words = [os.path.expandvars(w) if not w.startswith("'") else w for w in words]
    words = [w.replace("$SCHEDULES", env["SCHEDULES"]).replace("$DATA", env["DATA"]) for w in words]
    command = [program] + words
    if when:
        command = ["faketime", "-f", when] + command
    if injections:
        command = failing(injections) + command
    done = subprocess.run(command, input=stdin, capture_output=True, cwd=folder, env=env, timeout=60)
    return done.returncode, tidy(done.stdout), tidy(done.stderr)


def replay(program, sections, folder):
    """Yields the sections as they come out, and the complaints."""
    when, injections, stdin, result, complaints, out = None, "", b"", None, [], []
    for kind, argument, lines in sections:
        if kind in ("file", "append", "cut", "replace"):
            change(kind, folder / argument, lines)
        elif kind == "at":
            when = argument
        elif kind == "inject":
            injections = argument
        elif kind == "stdin":
            stdin = unescape(body(lines))
        elif kind == "run":
            if result:
                complaints += result.rest()
            result = Result(argument, *run(program, shlex.split(argument), when, stdin, folder, injections), out)
            stdin, injections = b"", ""
        if kind in ("stdout", "stderr", "exit"):
            complaints += result.compare(kind, argument if kind == "exit" else body(lines))
        else:
            out.append((kind, argument, lines))
            if kind == "run":
                result.emit()
    if result is None:
        complaints.append("nothing was run")
    else:
        complaints += result.rest()
    return out, complaints


class Result:
    def __init__(self, name, status, stdout, stderr, out):
        self.name, self.found, self.out = name, {"stdout": stdout, "stderr": stderr, "exit": str(status)}, out
        self.left = {"stdout": "", "stderr": "", "exit": "0"}

    def compare(self, kind, expected):
        self.left.pop(kind, None)
        return self.differs(kind, expected)

    def differs(self, kind, expected):
        if self.found[kind].rstrip("\n") == expected.rstrip("\n"):
            return []
        return [f"{self.name}: {kind} differs\n--- expected\n{expected}\n--- found\n{self.found[kind]}"]

    def rest(self):
        """What the case does not mention must be empty, and the exit status 0."""
        return [c for kind, expected in self.left.items() for c in self.differs(kind, expected)]

    def emit(self):
        for kind in ("stdout", "stderr"):
            if self.found[kind]:
                self.out.append((kind, "", self.found[kind].rstrip("\n").split("\n")))
        if self.found["exit"] != "0":
            self.out.append(("exit", self.found["exit"], []))


def write(case, text, out):
    lines = [l for l in text.split("\n")[: next(i for i, l in enumerate(text.split("\n")) if l.startswith("["))]]
    for kind, argument, content in out:
        if kind in ("file", "append", "cut", "replace", "at", "inject"):
            lines.append(f"[{kind} {argument}]")
        elif kind in ("run", "exit"):
            lines.append(f"[{kind}] {argument}")
        else:
            lines.append(f"[{kind}]")
        lines += body(content).rstrip('\n').split('\n') if body(content) else []
    case.write_text("\n".join(lines).rstrip("\n") + "\n", encoding="utf-8")


def main(program, case, update):
    case = pathlib.Path(case)
    text = case.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        out, complaints = replay(program, parse(text), pathlib.Path(folder))
    if update:
        write(case, text, out)
        return 0
    for complaint in complaints:
        print(complaint)
    return 1 if complaints else 0


if __name__ == "__main__":
    sys.exit(main(os.path.abspath(sys.argv[1]), sys.argv[2], "--update" in sys.argv))
