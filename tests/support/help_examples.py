"""Runs every example that a --help shows, each in a folder of its own where the files that it names exist.

usage: help_examples.py PROGRAM MANUAL SCHEDULES_DIR    MANUAL prints the tables of the verbs

An example may find something to say (1), but the command line is understood, the input good, and the output written. A
serial device is not there to be opened: such an example must get as far as looking for it.
"""
import os
import pathlib
import shlex
import shutil
import subprocess
import sys
import tempfile
import unittest

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "manuals"))
from tables import read_tables  # noqa: E402

PROGRAM, MANUAL, SCHEDULES = (os.path.abspath(sys.argv.pop(1)) for _ in range(3))
VERBS, _ = read_tables(MANUAL)
CRANKCASE, BUILD = "schedules/split-crankcase.yaml", "schedules/compressor-build.yaml"
# Steps of the crankcase before its first torque, and before its first angle: the two gates, the snug round, the torques.
GATES = [("--tick",), ("--count", "4")]
SNUG = [(str(bolt), "8Nm") for bolt in range(1, 11)]
TORQUES = [(str(bolt), "30Nm") for bolt in range(1, 11)]


def output_files(words):
    """The files that the words of an example say it writes."""
    named = [words[i + 1] for i, word in enumerate(words[:-1]) if word in ("-o", "--sheet", ">")]
    return named + [words[i + 1] for i, w in enumerate(words[:-1]) if w == "--svg" and words[i + 1].endswith(".svg")]


class Examples(unittest.TestCase):
    def setUp(self):
        holder = tempfile.TemporaryDirectory(prefix="clampbook-examples-")
        self.addCleanup(holder.cleanup)
        self.root = pathlib.Path(holder.name)
        bin_folder = self.root / "bin"
        bin_folder.mkdir()
        (bin_folder / "clampbook").symlink_to(PROGRAM)
        self.environment = {**os.environ, "LC_ALL": "C.UTF-8", "ASAN_OPTIONS": "detect_leaks=0",
                            "PATH": f"{bin_folder}:{os.environ['PATH']}"}

    def run_line(self, folder, line):
        done = subprocess.run(["sh", "-c", line], cwd=folder, env=self.environment, stdin=subprocess.DEVNULL,
                              capture_output=True, text=True, timeout=60, check=False)
        return done.returncode, done.stdout, done.stderr

    def must(self, folder, *words):
        status, out, err = self.run_line(folder, shlex.join(("clampbook", *words)))
        self.assertIn(status, (0, 1), f"{words}\n{out}{err}")

    def book(self, folder, name, entries):
        self.must(folder, "begin", name, CRANKCASE, "--tools", "schedules/tools.yaml")
        for entry in entries:
            self.must(folder, "log", name, *entry)

    def prepare(self, folder, line):
        """Makes what the example needs and nothing that it makes itself."""
        folder.mkdir()
        shutil.copytree(SCHEDULES, folder / "schedules")
        words = shlex.split(line)
        if "torques.txt" in words:
            (folder / "torques.txt").write_text("30 N·m\n22.1 ft·lbf\n", encoding="utf-8")
        if "*.csv" in words:
            shutil.copy(folder / "schedules/pull.csv", folder / "pull.csv")
        if "casing.book" in words and words[1] != "begin":
            entries = [*GATES, *SNUG, *TORQUES, ("--tick",)] if "deg" in line else [] if "--tick" in words else [*GATES, *SNUG]
            self.book(folder, "casing.book", entries)
        if "compressor.book" in words and words[1] != "begin":
            self.must(folder, "begin", "compressor.book", BUILD, "--operation", "bed")
        if "copy-of-casing.book" in words:
            shutil.copy(folder / "casing.book", folder / "copy-of-casing.book")
            self.must(folder, "amend", "casing.book", "--note", "one went on")
            self.must(folder, "amend", "copy-of-casing.book", "--note", "and so did the other")

    def test_every_verb_shows_three(self):
        for verb, spec in VERBS.items():
            self.assertGreaterEqual(len(spec["examples"]), 3, verb)
            for line in spec["examples"]:
                self.assertTrue(line.startswith(f"clampbook {verb} "), line)

    def test_every_example_works(self):
        for verb, spec in VERBS.items():
            for number, line in enumerate(spec["examples"]):
                with self.subTest(line):
                    if "serial:" in line and os.path.exists("/dev/ttyUSB0"):
                        continue  # somebody's wrench: leave it alone
                    folder = self.root / f"{verb}-{number}"
                    self.prepare(folder, line)
                    status, out, err = self.run_line(folder, line)
                    if "serial:" in line:
                        self.assertEqual(status, 3, out + err)
                        self.assertIn("/dev/ttyUSB0", err)
                        continue
                    self.assertIn(status, (0, 1), out + err)
                    words = shlex.split(line)
                    for name in output_files(words):
                        self.assertGreater((folder / name).stat().st_size, 0, name)
                    if not output_files(words):
                        self.assertTrue(out, "it says nothing")


unittest.main()
