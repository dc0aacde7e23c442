"""A disk that fills in the middle of an entry, at every length: the torn part does not count, the next append mends it."""
import json
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from crash_lab import CrashCase, limit_file_size, main


class FullDisk(CrashCase):
    def lines(self):
        return self.book.read_bytes().split(b"\n")

    def log_with_room_for(self, size):
        return self.clampbook("log", "b.book", "2", "12Nm", preexec_fn=limit_file_size(size))

    def test_a_part_of_an_entry_does_not_count_and_is_mended(self):
        self.begin()
        self.must(0, "log", "b.book", "1", "12Nm")
        start = self.book.read_bytes()
        self.must(0, "log", "b.book", "2", "12Nm")
        whole = len(self.book.read_bytes()) - len(start)
        for part in sorted({1, 2, whole // 3, whole // 2, whole - 35, whole - 2}):
            with self.subTest(part=part, whole=whole):
                self.book.write_bytes(start)
                self.refused(self.log_with_room_for(len(start) + part), 4, "not-recorded")
                torn = self.book.read_bytes()
                self.assertEqual(torn[: len(start)], start)
                self.assertEqual(len(torn), len(start) + part)
                self.assertEqual(self.filled(), 1)
                self.must(0, "log", "b.book", "2", "12.1Nm")
                self.assertEqual(self.book.read_bytes()[: len(torn)], torn)  # never rewritten
                self.assertEqual(json.loads(self.lines()[-2])["mends"], part)
                self.assertEqual(self.slugs(), ["torn-line"])
                self.assertEqual(self.filled(), 2)
                self.must(0, "log", "b.book", "1", "45deg")
                self.assertEqual(self.slugs(), ["torn-line"])

    def test_an_entry_that_lacks_its_line_feed_alone_counts_and_is_not_said_to_be_lost(self):
        self.begin()
        self.must(0, "log", "b.book", "1", "12Nm")
        start = self.book.read_bytes()
        self.must(0, "log", "b.book", "2", "12Nm")
        whole = len(self.book.read_bytes())
        self.book.write_bytes(start)
        self.refused(self.log_with_room_for(whole - 1), 4, "outcome-unknown")
        self.assertEqual(self.filled(), 2)
        self.must(0, "log", "b.book", "1", "45deg")
        self.assertEqual((self.filled(), self.slugs()), (3, []))

    def test_no_room_at_all_leaves_the_book_as_it_was(self):
        self.begin()
        start = self.book.read_bytes()
        self.refused(self.log_with_room_for(len(start)), 4, "not-recorded")
        self.assertEqual(self.book.read_bytes(), start)
        self.must(0, "log", "b.book", "1", "12Nm")
        self.assertEqual(self.slugs(), [])

    def test_a_creation_that_was_cut_off_anywhere_is_told_truly_and_can_be_taken_up(self):
        self.begin()
        first, begun, planned = (len(line) for line in self.lines()[:3])
        self.book.unlink()
        # Cut in the first line, between the lines, in `begun`, after it, in `planned`, and before the last line feed.
        parts = [1, first // 2, first - 1, first, first + 1, first + 1 + begun // 2, first + 1 + begun, first + 2 + begun,
                 first + 2 + begun + planned // 2, first + 2 + begun + planned]
        for part in parts:
            with self.subTest(part=part, lines=(first, begun, planned)):
                run = self.clampbook("begin", "b.book", "s.yaml", preexec_fn=limit_file_size(part))
                counts = part >= first + 1 + begun  # `begun` holds the schedule: the pass can be followed from here on
                self.refused(run, 4, "outcome-unknown" if counts else "not-recorded")
                self.assertEqual(self.clampbook("check", "b.book").status, 1 if counts else 2)
                self.must(0, "begin", "b.book", "s.yaml")
                self.assertEqual(self.check()["pass"], 2 if counts else 1)
                self.assertNotIn("altered-record", self.slugs())
                self.book.unlink()

    def test_a_starter_schedule_is_whole_or_absent(self):
        run = self.clampbook("new", "n.yaml", preexec_fn=limit_file_size(100))
        self.refused(run, 4, "output-failed")
        self.assertFalse((self.folder / "n.yaml").exists())


main()
