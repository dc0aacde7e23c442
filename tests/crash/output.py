"""Sheets, reports and drawings: whenever a call fails, the name stands for the old file or for nothing, and that is said."""
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from crash_lab import CrashCase, limit_file_size, main


class Output(CrashCase):
    WRITERS = (("plan", "s.yaml", "--sheet", "out"), ("plan", "s.yaml", "--svg", "out"), ("predict", "s.yaml", "--svg", "out"),
               ("report", "b.book", "-o", "out"), ("report", "b.book", "--format", "html", "-o", "out"), ("report", "b.book", "--format", "csv", "-o", "out"))

    def files(self):
        return sorted(p.name for p in self.folder.iterdir() if p.name != "trace")

    def first_on_output(self, words, call):
        """Which of its calls of that name is the first that concerns the output: a sanitizer makes some of its own."""
        _, calls = self.traced(*words, calls=call)
        (self.folder / "out").unlink()
        return 1 + next(i for i, c in enumerate(calls) if call == "rename" or (c.path or "").startswith(str(self.folder)))

    def test_a_failed_call_leaves_the_old_file_or_none(self):
        self.begin()
        out = self.folder / "out"
        for words in self.WRITERS:
            for call in ("write", "fsync", "rename"):
                when = self.first_on_output(words, call)
                for error in ("ENOSPC", "EIO", "EROFS"):
                    for old in (b"", b"the old one\n"):
                        with self.subTest(words=words, call=call, error=error, old=old):
                            if old:
                                out.write_bytes(old)
                            before = self.files()
                            run, _ = self.traced(*words, inject=f"{call}:error={error}:when={when}", calls=call)
                            self.refused(run, 4, "output-failed")
                            self.assertEqual(self.files(), before)
                            self.assertEqual(out.read_bytes() if out.exists() else b"", old)
                            out.unlink(missing_ok=True)

    def test_a_full_disk_leaves_the_old_file(self):
        self.begin()
        out = self.folder / "out"
        for words in self.WRITERS:
            with self.subTest(words=words):
                out.write_bytes(b"the old one\n")
                before = self.files()
                self.refused(self.clampbook(*words, preexec_fn=limit_file_size(100)), 4, "output-failed")
                self.assertEqual((self.files(), out.read_bytes()), (before, b"the old one\n"))

    def test_an_interrupted_call_is_repeated(self):
        self.begin()
        for call in ("write", "fsync"):
            words = ("plan", "s.yaml", "--sheet", "out")
            run, calls = self.traced(*words, inject=f"{call}:error=EINTR:when={self.first_on_output(words, call)}", calls=call)
            self.assertTrue(any("(INJECTED)" in c.result for c in calls), calls)
            self.assertEqual(run.status, 0, run)
            self.assertTrue((self.folder / "out").read_bytes().endswith(b"</html>\n"))

    def test_what_must_not_be_written_over_is_not(self):
        self.begin()
        book, schedule = self.book.read_bytes(), (self.folder / "s.yaml").read_bytes()
        (self.folder / "link").symlink_to("b.book")
        for name in ("b.book", "link"):
            for words in (("plan", "s.yaml", "--sheet", name), ("plan", "s.yaml", "--svg", name), ("predict", "s.yaml", "--svg", name), ("report", "b.book", "-o", name)):
                self.refused(self.clampbook(*words), 4, "file-exists")
        for words in (("plan", "s.yaml", "--sheet", "s.yaml"), ("plan", "s.yaml", "--svg", "./s.yaml"), ("predict", "s.yaml", "--svg", "s.yaml")):
            self.refused(self.clampbook(*words), 2, "bad-option")
        (self.folder / "folder").mkdir()
        for name in ("folder", "absent/out", "s.yaml/out"):
            self.refused(self.clampbook("plan", "s.yaml", "--sheet", name), 4, "output-failed")
        self.assertEqual((self.book.read_bytes(), (self.folder / "s.yaml").read_bytes()), (book, schedule))

    def test_a_link_is_followed_and_a_device_is_no_file(self):
        self.begin()
        (self.folder / "real").write_bytes(b"old")
        (self.folder / "real").chmod(0o640)
        (self.folder / "link").symlink_to("real")
        self.must(0, "plan", "s.yaml", "--sheet", "link")
        self.assertTrue((self.folder / "link").is_symlink())
        self.assertTrue((self.folder / "real").read_bytes().startswith(b"<!DOCTYPE html>"))
        self.assertEqual((self.folder / "real").stat().st_mode & 0o777, 0o640)
        self.must(0, "plan", "s.yaml", "--sheet", "/dev/null")
        self.assertTrue(pathlib.Path("/dev/null").is_char_device())


main()
