"""Every call on the book fails once, in turn: the message is true, earlier entries stay, and work goes on after."""
import json
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from crash_lab import CrashCase, main


class IoErrors(CrashCase):
    def failing(self, inject, call, *arguments, when="1"):
        """A run in which the `when`-th `call` on the book fails: "1" fails once, "1+" every time."""
        run, calls = self.traced(*arguments, inject=f"{call}:{inject}:when={when}", calls=call, only_book=True)
        self.assertTrue(any("(INJECTED)" in c.result for c in calls), calls)
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
            for when in ("1", "1+"):
                run = self.failing(f"error={error}", "write", *self.reading(), when=when)
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

    def test_any_error_of_each_call_once_and_for_ever_is_told_truly(self):
        self.begin()
        self.must(0, *self.reading())
        slugs = {"openat": "not-recorded", "flock": "not-recorded", "write": "not-recorded", "fdatasync": "outcome-unknown"}
        for call, slug in slugs.items():
            for error in ("EIO", "ENOSPC", "EDQUOT"):
                for when in ("1", "1+"):
                    with self.subTest(call=call, error=error, when=when):
                        before, start = self.filled(), self.book.read_bytes()
                        self.refused(self.failing(f"error={error}", call, "log", "b.book", "2", "12Nm", "--stage", "1", when=when), 4, slug)
                        self.assertTrue(self.book.read_bytes().startswith(start))
                        self.assertIn(self.filled(), (before, before + 1) if slug == "outcome-unknown" else (before,))

    def test_an_interrupted_call_is_repeated(self):
        self.begin()
        for call in ("write", "fdatasync", "openat", "flock"):
            run = self.failing("error=EINTR", call, *self.reading())
            self.assertEqual(run.status, 0, run)
        self.assertEqual((self.filled(), self.slugs()), (4, []))

    def test_a_call_that_is_always_interrupted_ends_after_a_hundred_tries(self):
        self.begin()
        for call, slug in (("openat", "not-recorded"), ("flock", "not-recorded"), ("write", "not-recorded"), ("fdatasync", "outcome-unknown")):
            with self.subTest(call=call):
                run, calls = self.traced("log", "b.book", "1", "12Nm", inject=f"{call}:error=EINTR:when=1+", calls=call, only_book=True)
                self.refused(run, 4, slug)
                self.assertEqual(len([c for c in calls if "(INJECTED)" in c.result]), 100, calls)
        self.goes_on(1)  # of the one whose sync did not end

    def test_the_same_key_settles_an_unknown_outcome(self):
        self.begin()
        words = ["log", "b.book", "1", "12Nm", "--key", "k1"]
        self.refused(self.failing("error=EIO", "fdatasync", *words), 4, "outcome-unknown")
        kept = self.book.read_bytes()
        answer = json.loads(self.must(0, *words, "--json").out)  # it had been kept: it is told, not entered again
        self.assertEqual((answer["repeated"], answer["seq"], self.book.read_bytes()), (True, 3, kept))
        words = ["log", "b.book", "2", "12Nm", "--key", "k2"]
        self.refused(self.failing("error=EIO", "fdatasync", *words), 4, "outcome-unknown")
        self.book.write_bytes(kept)  # this time it had not, as after a power cut
        answer = json.loads(self.must(0, *words, "--json").out)
        self.assertEqual((answer["repeated"], answer["seq"]), (False, 4))
        self.assertEqual((self.filled(), self.slugs()), (2, []))
        # A key that names something else is no settlement.
        run = self.clampbook("log", "b.book", "2", "13Nm", "--key", "k2")
        self.refused(run, 2, "key-reused")
        self.assertEqual(self.book.read_bytes().count(b'"kind":"reading"'), 2)

    def test_the_same_key_settles_a_pass_that_may_have_begun(self):
        words = ["begin", "b.book", "s.yaml", "--key", "start"]
        self.refused(self.failing("error=EIO", "fsync", *words), 4, "outcome-unknown")
        self.assertTrue(json.loads(self.must(0, *words, "--json").out)["repeated"])
        self.assertEqual(self.book.read_bytes().count(b'"kind":"begun"'), 1)
        self.goes_on(0)

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

    def test_a_book_that_cannot_be_read_records_nothing(self):
        self.begin()
        before = self.book.read_bytes()
        for call in ("pread64", "fstat,newfstatat"):
            for error in ("EIO", "ESTALE"):
                run = self.failing(f"error={error}", call, "log", "b.book", "1", "12Nm")
                self.refused(run, 4, "not-recorded")
                self.assertIn("nothing was recorded", run.err)
                self.assertEqual(self.book.read_bytes(), before)
        self.refused(self.failing("error=EIO", "read", "check", "b.book"), 3, "unreadable-file")
        self.goes_on(0)

    def test_a_book_that_another_program_holds_is_busy(self):
        self.begin()
        before = self.book.read_bytes()
        # The ten seconds of waiting pass at once.
        run, calls = self.traced("log", "b.book", "1", "12Nm", calls="flock,clock_nanosleep",
                                 inject=("flock:error=EAGAIN", "clock_nanosleep:retval=0"))
        self.refused(run, 4, "book-busy")
        pauses = [c for c in calls if c.name == "clock_nanosleep"]
        self.assertEqual(len(pauses), 1000, "pauses of 10 ms")
        self.assertTrue(all("tv_nsec=10000000" in c.arguments for c in pauses))
        self.assertEqual(self.book.read_bytes(), before)
        self.goes_on(0)

    def test_a_lock_that_is_released_in_time_is_waited_for(self):
        self.begin()
        run, _ = self.traced(*self.reading(), calls="flock", inject="flock:error=EAGAIN:when=1..3")
        self.assertEqual(run.status, 0, run)
        self.goes_on(1)

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
        self.begin()
        run, _ = self.traced("log", "b.book", "1", "12Nm", "--json", inject="fdatasync:error=EIO")
        self.assertEqual(run.status, 4, run)
        self.assertEqual(run.out, "")
        self.assertEqual([e["slug"] for e in json.loads(run.err)["errors"]], ["outcome-unknown"])


main()
