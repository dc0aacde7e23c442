"""What tests of a whole pass share: a folder of their own, the program run in it, the book read back."""
import json
import pathlib
import shutil
import subprocess
import tempfile
import unittest

from crash_lab import environment


class WorkshopCase(unittest.TestCase):
    """A class that inherits says which `program` it tests, and which `files` lie in the folder: texts by name."""

    program = ""
    files = {}

    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="clampbook-workshop-"))
        self.addCleanup(shutil.rmtree, self.folder)
        for name, text in self.files.items():
            (self.folder / name).write_text(text, encoding="utf-8")

    def run_program(self, *words, **more):
        return subprocess.run([self.program, *map(str, words)], cwd=self.folder, env=environment(), capture_output=True,
                              encoding="utf-8", timeout=60, check=False, **more)

    def begin(self, schedule, *words):
        done = self.run_program("begin", "b.book", schedule, *words)
        self.assertEqual(done.returncode, 0, done.stderr)

    def check(self):
        return json.loads(self.run_program("check", "b.book", "--json").stdout)

    def entries(self):
        """The lines of the book that somebody entered: all but those that begin a pass."""
        lines = [json.loads(line) for line in (self.folder / "b.book").read_text(encoding="utf-8").splitlines()]
        return [line for line in lines if line.get("kind") not in (None, "begun", "planned")]
