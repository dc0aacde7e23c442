"""Files that are no schedules and no books: a clear message with a documented status, never a crash, never a wait."""
import os
import pathlib
import random
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from crash_lab import CrashCase, main

LARGEST = 4 << 20  # bytes that a schedule may have


class OddFiles(CrashCase):
    def make_odd(self):
        """Odd files by name, with the slug that each must bring as a schedule."""
        (self.folder / "folder").mkdir()
        os.mkfifo(self.folder / "fifo")
        (self.folder / "empty").write_bytes(b"")
        (self.folder / "loop").symlink_to("loop")
        noise = random.Random(20260504).randbytes(LARGEST + 1)
        (self.folder / "noise").write_bytes(noise[:LARGEST])
        (self.folder / "more-noise").write_bytes(noise)
        (self.folder / "binary").write_bytes(pathlib.Path("/bin/true").read_bytes())
        (self.folder / "zeros").write_bytes(bytes(100))
        (self.folder / "sixteen").write_text("format: fastener schedule 1\n", encoding="utf-16")
        return {"folder": "unreadable-file", "fifo": "unreadable-file", "empty": "wrong-format", "loop": "unreadable-file",
                "absent": "unreadable-file", "absent/s.yaml": "unreadable-file", "s.yaml/x": "unreadable-file",
                "/dev/null": "unreadable-file", "/dev/zero": "unreadable-file", "noise": "not-utf8", "more-noise": "too-large",
                "binary": "not-utf8", "zeros": "syntax", "sixteen": "not-utf8", "": "unreadable-file"}

    def test_as_a_schedule(self):
        for name, slug in self.make_odd().items():
            with self.subTest(file=name):
                if name == "":  # an empty word is no operand
                    self.assertIn(self.clampbook("plan", "").status, (2, 3))
                    continue
                self.refused(self.clampbook("plan", name), 3, slug)
                self.refused(self.clampbook("begin", "b.book", name), 3, slug)
                self.assertFalse(self.book.exists())

    def test_a_schedule_as_large_as_may_be_is_read(self):
        text = (self.folder / "s.yaml").read_bytes()
        padding = LARGEST - len(text)
        (self.folder / "large.yaml").write_bytes(text + b"#" * (padding - 1) + b"\n")
        self.must(0, "plan", "large.yaml")
        (self.folder / "larger.yaml").write_bytes(text + b"#" * padding + b"\n")
        self.refused(self.clampbook("plan", "larger.yaml"), 3, "too-large")

    def test_as_a_book_that_is_read(self):
        self.make_odd()
        for name, slug in {"folder": "unreadable-file", "fifo": "unreadable-file", "loop": "unreadable-file", "absent": "unreadable-file",
                           "absent/b": "unreadable-file", "/dev/null": "unreadable-file", "noise": "not-a-book", "binary": "not-a-book",
                           "zeros": "not-a-book", "s.yaml": "not-a-book"}.items():
            with self.subTest(file=name):
                self.refused(self.clampbook("check", name), 3, slug)
        self.refused(self.clampbook("check", "empty"), 2, "no-open-pass")

    def test_as_a_book_that_is_written(self):
        self.make_odd()
        for name, slug in {"folder": "unreadable-file", "fifo": "not-a-book", "loop": "unreadable-file", "absent": "unreadable-file",
                           "absent/b": "unreadable-file", "/dev/null": "not-a-book", "noise": "not-a-book", "binary": "not-a-book",
                           "zeros": "not-a-book", "s.yaml": "not-a-book"}.items():
            with self.subTest(file=name):
                path = self.folder / name
                before = path.read_bytes() if path.is_file() and not path.is_symlink() else None
                self.refused(self.clampbook("log", name, "1", "12Nm"), 3, slug)
                if before is not None:
                    self.assertEqual(path.read_bytes(), before)

    def test_as_a_book_that_is_begun(self):
        self.make_odd()
        for name, status, slug in (("folder", 3, "unreadable-file"), ("fifo", 3, "not-a-book"), ("loop", 4, "not-recorded"),
                                   ("absent/b", 4, "not-recorded"), ("/dev/null", 3, "not-a-book"), ("noise", 3, "not-a-book"),
                                   ("s.yaml", 3, "not-a-book")):
            with self.subTest(file=name):
                path = self.folder / name
                before = path.read_bytes() if path.is_file() and not path.is_symlink() else None
                self.refused(self.clampbook("begin", name, "s.yaml"), status, slug)
                if before is not None:
                    self.assertEqual(path.read_bytes(), before)
        self.must(0, "begin", "empty", "s.yaml")  # an interrupted creation leaves no more

    def test_as_a_new_schedule(self):
        self.make_odd()
        for name, slug in (("folder", "file-exists"), ("fifo", "file-exists"), ("s.yaml", "file-exists"), ("/dev/null", "file-exists"),
                           ("absent/n.yaml", "output-failed"), ("s.yaml/n", "output-failed")):
            with self.subTest(file=name):
                self.refused(self.clampbook("new", name), 4, slug)


main()
