"""What the robustness tests share: a folder of good and odd files, every verb with a good call, and the judge of a run.

A script of tests/robust gets the program, the printer of the tables of the verbs, and the folder of the sources; with
--long it crosses everything, else each place of a word meets its share of the values.

The program runs as a person without rights over other people's files: as root every file could be read.
"""
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import unittest

HERE = pathlib.Path(__file__).resolve().parent
sys.path += [str(HERE.parent / "support"), str(HERE.parent / "manuals")]
from crash_lab import SCHEDULE, environment  # noqa: E402
from slugs import in_document  # noqa: E402
from tables import read_tables  # noqa: E402

SECONDS = 10  # that no run comes near; a run that does, hangs
NOBODY = 65534
ROW = "bolt,value\n"
PULL = "angle_deg,torque_Nm\n" + "".join(f"{a},{max(0.5, (a - 40) * 0.4):.2f}\n" for a in range(0, 120, 2))

# For each verb a call that does its work, given the files of the folder; each ends with 0, or with 1 for what falls short.
GOOD = {
    "new": ["new", "n.yaml"],
    "plan": ["plan", "s.yaml"],
    "predict": ["predict", "s.yaml", "--samples", "100"],
    "bolt": ["bolt", "M10", "8.8"],
    "begin": ["begin", "b.book", "s.yaml"],
    "log": ["log", "b.book", "2", "12Nm"],
    "guide": ["guide", "b.book"],
    "amend": ["amend", "b.book", "--note", "n"],
    "check": ["check", "b.book"],
    "report": ["report", "b.book"],
    "trace": ["trace", "pull.csv"],
    "history": ["history", "b.book"],
    "convert": ["convert", "30 N·m"],
    "completion": ["completion", "bash"],
}
READERS = ("plan", "predict", "bolt", "check", "report", "trace", "history", "convert", "completion")
WRITERS = ("begin", "log", "guide", "amend")


class Run:
    def __init__(self, words, status, out, err):
        self.words, self.status, self.out, self.err = words, status, out, err

    def __str__(self):
        words = " ".join(w if len(w) < 200 else f"{w[:60]!r}... ({len(w)} characters)" for w in map(str, self.words))
        return f"{words!a}\nexit {self.status}\nstdout: {self.out[:2000]!r}\nstderr: {self.err[:2000]!r}"


class RobustCase(unittest.TestCase):
    program, verbs, everywhere, slug_status, long = None, {}, [], {}, False

    @classmethod
    def setUpClass(cls):
        cls.root = pathlib.Path(tempfile.mkdtemp(prefix="clampbook-robust-"))
        cls.addClassCleanup(shutil.rmtree, cls.root)
        cls.as_other = {"user": NOBODY, "group": NOBODY, "extra_groups": []} if os.geteuid() == 0 else {}
        # Where the program lies, another user may not be let in.
        program = cls.root / "clampbook"
        shutil.copy(cls.program, program)
        cls.root.chmod(0o755)
        cls.here = str(program)
        cls.folder = cls.root / "work"
        cls.make_files()

    @classmethod
    def make_files(cls):
        folder = cls.folder
        folder.mkdir()
        if cls.as_other:
            os.chown(folder, NOBODY, NOBODY)
        (folder / "s.yaml").write_text(SCHEDULE, encoding="utf-8")
        (folder / "pull.csv").write_text(PULL, encoding="utf-8")
        shutil.copy(cls.source / "schedules/tools.yaml", folder)
        (folder / "rows.csv").write_text("bolt,value\n2,12Nm\n", encoding="utf-8")
        (folder / "empty").write_bytes(b"")
        (folder / "bytes").write_bytes(bytes(range(256)) * 40)
        (folder / "folder").mkdir()
        (folder / "dangling").symlink_to("nowhere/at/all")
        (folder / "loop").symlink_to("loop")
        (folder / "unreadable").write_text(SCHEDULE, encoding="utf-8")
        os.mkfifo(folder / "fifo")
        for path in folder.iterdir():
            if cls.as_other:
                os.chown(path, NOBODY, NOBODY, follow_symlinks=False)
        (folder / "unreadable").chmod(0)
        for words in (GOOD["begin"], ["log", "b.book", "1", "12Nm"]):
            done = cls.raw(words)
            assert done.returncode == 0, done
        cls.kept = cls.snapshot()

    @classmethod
    def raw(cls, words, **how):
        how = {"cwd": cls.folder, "env": environment(), "stdin": subprocess.DEVNULL, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **cls.as_other, **how}
        return subprocess.run([cls.here, *words], timeout=SECONDS, **how)

    def some(self, items, index, share):
        """All items in a long run; else their share for the place of that number, so that all come up."""
        return list(items) if self.long else list(items)[index % share::share]

    @classmethod
    def snapshot(cls):
        return {path.name: path.read_bytes() for path in cls.folder.iterdir() if path.is_file() and not path.is_symlink()}

    def restore(self):
        for path in self.folder.iterdir():
            if path.name in ("folder", "dangling", "loop", "fifo", *self.kept):
                continue
            if path.is_dir() and not path.is_symlink():
                shutil.rmtree(path)
            else:
                path.unlink()
        for path in (self.folder / "folder").iterdir():
            path.unlink()
        for name in self.changed:
            path = self.folder / name
            path.write_bytes(self.kept[name])
            if self.as_other:
                os.chown(path, NOBODY, NOBODY)
            path.chmod(0o644)

    def clampbook(self, *words, **how):
        """A run, judged by what holds for every run; the folder is then as it was before."""
        try:
            done = self.raw(words, **how)
        except subprocess.TimeoutExpired:
            self.fail(f"hangs: {words!a}"[:600])
        run = Run(words, done.returncode, done.stdout or b"", done.stderr or b"")
        self.after = self.snapshot()
        self.changed = [name for name, bytes_ in self.kept.items() if self.after.get(name) != bytes_]
        try:
            self.judge(run, how)
        finally:
            self.restore()
        return run

    def judge(self, run, how):
        self.assertIn(run.status, (0, 1, 2, 3, 4), run)
        self.judge_files(run)
        if not {"stdout", "stderr"} & set(how):
            self.judge_output(run)

    def judge_files(self, run):
        """Nothing that was there is lost, and the book holds whole lines."""
        for name in self.changed:
            if name != "b.book" and name in self.written_over(run.words):
                continue
            self.assertTrue(name == "b.book" or run.words[:2] == ("begin", name) == ("begin", "empty"), run)
            self.assertTrue(self.after.get(name, b"").startswith(self.kept[name]), run)
            self.assertIn(run.words[0], WRITERS, run)
            for line in self.after[name][len(self.kept[name]):].splitlines():
                self.assertIn("seal", json.loads(line), run)
        if run.status in (2, 3):
            self.assertEqual(self.changed, [], run)

    @staticmethod
    def written_over(words):
        """What a call may write over: it says so with an option."""
        return [after for word, after in zip(words, words[1:]) if word in ("--sheet", "--svg", "-o")]

    def judge_output(self, run):
        out, err = self.as_text(run, run.out), self.as_text(run, run.err)
        for text in (out, err):
            self.assertNotRegex(text, r"[\x00-\x08\x0b-\x1f\x7f]", run)
            if not text.startswith('{"'):
                self.assertNotRegex(text, r"[\x80-\x9f\u202a-\u202e\u2028\u2029]", run)
        if run.status in (0, 1):
            self.assertEqual(err, "", run)
            return
        rows = "--lines" in run.words or run.words[:2] == ("convert", "-")  # answers row by row
        if not rows:
            self.assertEqual(out, "" if run.status != 4 else out, run)
        self.judge_errors(run, err)

    def as_text(self, run, raw):
        try:
            return raw.decode("utf-8")
        except UnicodeDecodeError as e:
            self.fail(f"prints bytes that are no text: {e}\n{run}")

    def judge_errors(self, run, err):
        """One complaint, with a slug of docs/errors.md that goes with the exit status."""
        if err.startswith('{"'):
            told = json.loads(err)
            self.assertEqual(sorted(told), ["errors", "more"], run)
            slugs = [e["slug"] for e in told["errors"]]
        else:
            slugs = re.findall(r"(?:^|: )error: .* \[([a-z0-9-]+)\]$", err, flags=re.M)
        self.assertEqual(len(slugs), 1, run)
        self.assertEqual(self.slug_status.get(slugs[0]), str(run.status), run)


def main():
    if len(sys.argv) not in (4, 5):
        raise SystemExit(f"usage: {sys.argv[0]} PROGRAM MANUAL SOURCE_DIR [--long]")
    cls = RobustCase
    cls.program, manual, source = map(os.path.abspath, sys.argv[1:4])
    cls.long = sys.argv[4:] == ["--long"]
    cls.verbs, cls.everywhere = read_tables(manual)
    cls.source = pathlib.Path(source)
    _, cls.slug_status = in_document((cls.source / "docs/errors.md").read_text(encoding="utf-8"))
    unittest.main(module="__main__", argv=sys.argv[:1])
