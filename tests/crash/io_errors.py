"""Every call on the book fails once, in turn: the message is true, earlier entries stay, and work goes on after."""
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from crash_lab import CrashCase, main


class IoErrors(CrashCase):
    def failing(self, inject, call, *arguments):
        """A run in which the first `call` on the book fails; the place of that call is taken from a clean run."""
        before = self.book.read_bytes() if self.book.exists() else None
        run, calls = self.traced(*arguments)
        self.assertIn(run.status, (0, 1), run)
        if before is None:
            self.book.unlink()
        else:
            self.book.write_bytes(before)
        same = [c for c in calls if c.name == call]
        place = next(i for i, c in enumerate(same, 1) if c in self.on_book(calls))
        run, calls = self.traced(*arguments, inject=f"{call}:{inject}:when={place}")
        self.assertTrue(any("(INJECTED)" in c.result for c in self.on_book(calls)), calls)
        return run

    # The readings of the schedule in its order.
    READINGS = (("1", "12Nm"), ("2", "12Nm"), ("1", "45deg"), ("2", "45deg"))

    def reading(self):
        """The next reading as words for log."""
        return ["log", "b.book", *self.READINGS[self.filled()]]

    def goes_on(self, filled):
        """All of the earlier entries count, a later one works, and nothing is found."""
        self.assertEqual(self.filled(), filled)
        self.must(0, *self.reading())
        self.assertEqual(self.filled(), filled + 1)
        self.assertEqual(self.slugs(), [])

    def test_a_write_that_fails_records_nothing_and_says_so(self):
        self.begin()
        self.must(0, *self.reading())
        before = self.book.read_bytes()
        for error in ("ENOSPC", "EIO", "EDQUOT", "EFBIG"):
            run = self.failing(f"error={error}", "write", *self.reading())
            self.refused(run, 4, "not-recorded")
            self.assertIn("not recorded", run.err)
            self.assertEqual(self.book.read_bytes(), before)
        self.goes_on(1)

    def test_a_sync_that_fails_is_an_unknown_outcome_and_not_a_loss(self):
        self.begin()
        self.must(0, *self.reading())
        run = self.failing("error=EIO", "fdatasync", *self.reading())
        self.refused(run, 4, "outcome-unknown")
        self.assertIn("may or may not", run.err)
        self.assertNotIn("not recorded", run.err)
        self.goes_on(2)  # this time it was there

    def test_an_interrupted_call_is_repeated(self):
        self.begin()
        for call in ("write", "fdatasync", "openat", "flock"):
            run = self.failing("error=EINTR", call, *self.reading())
            self.assertEqual(run.status, 0, run)
        self.assertEqual((self.filled(), self.slugs()), (4, []))

    def test_a_book_that_must_not_be_written_is_read_only(self):
        self.begin()
        before = self.book.read_bytes()
        for error in ("EACCES", "EROFS", "EPERM"):
            run = self.failing(f"error={error}", "openat", "log", "b.book", "1", "12Nm")
            self.refused(run, 4, "read-only")
            self.assertIn("nothing was recorded", run.err)
            self.assertEqual(self.book.read_bytes(), before)
        self.goes_on(0)

    def test_a_book_that_cannot_be_locked_records_nothing(self):
        self.begin()
        before = self.book.read_bytes()
        run = self.failing("error=ENOLCK", "flock", "log", "b.book", "1", "12Nm")
        self.refused(run, 4, "not-recorded")
        self.assertEqual(self.book.read_bytes(), before)
        self.goes_on(0)

    def test_a_book_that_cannot_be_made_says_so(self):
        for error, slug in (("EACCES", "read-only"), ("EROFS", "read-only"), ("ENOSPC", "not-recorded"), ("EIO", "not-recorded")):
            run = self.failing(f"error={error}", "openat", "begin", "b.book", "s.yaml")
            self.refused(run, 4, slug)
            self.assertFalse(self.book.exists())
        self.begin()
        self.goes_on(0)

    def test_a_first_write_that_fails_leaves_a_book_that_can_be_begun_again(self):
        self.refused(self.failing("error=ENOSPC", "write", "begin", "b.book", "s.yaml"), 4, "not-recorded")
        self.begin()
        self.goes_on(0)
        self.assertEqual(self.check()["pass"], 1)

    def test_a_first_sync_that_fails_is_an_unknown_outcome(self):
        self.refused(self.failing("error=EIO", "fsync", "begin", "b.book", "s.yaml"), 4, "outcome-unknown")
        self.goes_on(0)

    def test_a_folder_that_does_not_confirm_is_an_unknown_outcome(self):
        run, _ = self.traced("begin", "b.book", "s.yaml", inject="fsync:error=EIO:when=2")
        self.refused(run, 4, "outcome-unknown")
        self.assertIn("folder", run.err)
        self.goes_on(0)

    def test_with_json_the_error_is_one_object(self):
        import json
        self.begin()
        run, _ = self.traced("log", "b.book", "1", "12Nm", "--json", inject="fdatasync:error=EIO")
        self.assertEqual(run.status, 4, run)
        self.assertEqual(run.out, "")
        self.assertEqual([e["slug"] for e in json.loads(run.err)["errors"]], ["outcome-unknown"])


main()
