"""What the tests of crashes and of counts share: a folder with a schedule and a book, runs of the program, and its system calls.

A script of tests/crash or tests/counters gets the program as its only argument; each of its tests has a folder of its own.
"""
import json
import os
import pathlib
import re
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import unittest

SECONDS = 30  # that no run comes near; a run that does, hangs

SCHEDULE = """\
format: fastener schedule 1
title: Practice cover
notice: Invented data for practice. Never use on a real machine.
fasteners: {cover-bolt: {thread: M8, strength: "8.8"}}
bolts: [{id: 1}, {id: 2}]
stages:
  - {torque: 12 N·m}
  - {angle: 45°}
"""


def environment():
    env = {k: v for k, v in os.environ.items() if not k.startswith("LC_") and k not in ("LANG", "TZ", "NO_COLOR")}
    # A sanitizer that looks for leaks stops a program that is traced.
    env.update(LC_ALL="C.UTF-8", TZ="UTC", TERM="dumb", ASAN_OPTIONS="verify_asan_link_order=0:detect_leaks=0")
    return env


class Run:
    """How a run ended, and what it said."""

    def __init__(self, words, status, out, err):
        self.words, self.status = words, status
        self.out, self.err = out.decode("utf-8", "replace"), err.decode("utf-8", "replace")

    def __str__(self):
        return f"{' '.join(map(str, self.words))}\nexit {self.status}\nstdout: {self.out}\nstderr: {self.err}"


class Call:
    """One system call: its name, what its first descriptor or path was opened as, and the whole line."""

    def __init__(self, name, arguments, result):
        self.name, self.arguments, self.result = name, arguments, result
        opened = re.match(r'AT_FDCWD(?:<[^>]*>)?, "((?:[^"\\]|\\.)*)", ([A-Z_|]+)', arguments)
        on_descriptor = re.match(r"\d+<([^>]*)>", arguments)
        self.path = opened[1] if opened else on_descriptor[1] if on_descriptor else None
        self.flags = set(opened[2].split("|")) if opened else set()

    @property
    def failed(self):
        return self.result.startswith("-1")

    def for_writing(self):
        return bool(self.flags & {"O_WRONLY", "O_RDWR", "O_CREAT", "O_TRUNC"})

    def __repr__(self):
        return f"{self.name}({self.arguments}) = {self.result}"


class CrashCase(unittest.TestCase):
    program = None

    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="clampbook-crash-"))
        self.addCleanup(shutil.rmtree, self.folder)
        (self.folder / "s.yaml").write_text(SCHEDULE, encoding="utf-8")
        self.book = self.folder / "b.book"

    def run_words(self, words, **how):
        how.setdefault("stdin", subprocess.DEVNULL)
        how.setdefault("stdout", subprocess.PIPE)
        done = subprocess.run(words, cwd=self.folder, env=environment(), timeout=SECONDS, stderr=subprocess.PIPE, **how)
        run = Run(words, done.returncode, done.stdout or b"", done.stderr)
        # A signal or a fault of our own is never an answer.
        self.assertGreaterEqual(run.status, 0, run)
        self.assertNotEqual(run.status, 70, run)
        self.assertNotIn("Sanitizer", run.err, run)
        return run

    def clampbook(self, *arguments, **how):
        return self.run_words([self.program, *arguments], **how)

    def must(self, status, *arguments, **how):
        run = self.clampbook(*arguments, **how)
        self.assertEqual(run.status, status, run)
        return run

    def begin(self):
        self.must(0, "begin", "b.book", "s.yaml")

    def traced(self, *arguments, inject=(), only_book=False,
               calls="openat,write,writev,pwrite64,fsync,fdatasync,flock,ftruncate,rename,unlink", **how):
        """A run under strace: the run, and its calls in order. Each of `inject` is e.g. "write:error=ENOSPC:when=1";
        with `only_book` calls on other files are neither seen nor changed."""
        trace = self.folder / "trace"
        options = ["-f", "-y", "-qq", "-s", "100000", "-o", str(trace), "-e", f"trace={calls}"]
        options += ["-P", "b.book", "-P", str(self.book)] if only_book else []
        for injection in [inject] if isinstance(inject, str) else inject:
            options += ["-e", f"inject={injection}"]
        run = self.run_words(["strace", *options, self.program, *arguments], **how)
        return run, parse_calls(trace.read_text(encoding="utf-8", errors="replace"))

    def on_book(self, calls):
        return [c for c in calls if c.path is not None and pathlib.Path(c.path).name == "b.book"]

    def check(self):
        run = self.clampbook("check", "b.book", "--so-far", "--json")
        self.assertIn(run.status, (0, 1), run)
        return json.loads(run.out)

    def slugs(self):
        return sorted(f["slug"] for f in self.check()["findings"])

    def filled(self):
        return self.check()["steps"]["filled"]

    def refused(self, run, status, slug):
        """The run failed as documented: its status, its one slug, and a message on stderr alone."""
        self.assertEqual(run.status, status, run)
        self.assertIn(f"[{slug}]", run.err, run)
        self.assertEqual(run.out, "", run)


def parse_calls(text):
    out = []
    for line in text.splitlines():
        found = re.match(r"\d+ +(\w+)\((.*)\) += (-?\d+.*)$", line)
        if found:
            out.append(Call(found[1], found[2], found[3]))
    return out


def limit_file_size(size):
    """For preexec_fn: files may not grow beyond `size` bytes; a write then ends early, as on a full disk."""
    def apply():
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
    return apply


def main():
    if len(sys.argv) != 2:
        raise SystemExit(f"usage: {sys.argv[0]} PROGRAM")
    CrashCase.program = os.path.abspath(sys.argv[1])
    unittest.main(module="__main__", argv=sys.argv[:1])
