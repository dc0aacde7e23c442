"""What the program asks of the system: one write and one sync for a reading, none by those who only read."""
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from crash_lab import CrashCase, main


class Calls(CrashCase):
    def names(self, calls, *wanted):
        return [c.name for c in calls if c.name in wanted]

    def test_a_reading_is_one_open_one_lock_one_write_and_one_sync_then_the_answer(self):
        self.begin()
        run, calls = self.traced("log", "b.book", "1", "12Nm")
        self.assertEqual(run.status, 0, run)
        on_book = self.on_book(calls)
        self.assertEqual([c.name for c in on_book], ["openat", "flock", "write", "fdatasync"], calls)
        self.assertTrue(on_book[0].for_writing())
        self.assertIn("O_APPEND", on_book[0].flags)
        self.assertNotIn("O_TRUNC", on_book[0].flags)
        self.assertEqual(self.names(calls, "fsync", "ftruncate", "rename", "unlink"), [])
        # "recorded" is said after the sync, never before.
        answer = next(i for i, c in enumerate(calls) if c.name in ("write", "writev") and "recorded" in c.arguments)
        self.assertGreater(answer, calls.index(on_book[-1]))

    def test_a_gate_costs_the_same_as_a_reading(self):
        schedule = self.folder / "s.yaml"
        schedule.write_text(schedule.read_text(encoding="utf-8") + "  - {do: Close the cover}\n", encoding="utf-8")
        self.begin()
        run, calls = self.traced("log", "b.book", "--tick")
        self.assertIn(run.status, (0, 1), run)
        self.assertEqual([c.name for c in self.on_book(calls)], ["openat", "flock", "write", "fdatasync"], calls)

    def test_a_new_book_is_one_write_and_its_folder_is_synced_too(self):
        run, calls = self.traced("begin", "b.book", "s.yaml")
        self.assertEqual(run.status, 0, run)
        self.assertEqual([c.name for c in self.on_book(calls)], ["openat", "flock", "write", "fsync"], calls)
        syncs = [c.path for c in calls if c.name in ("fsync", "fdatasync")]
        self.assertEqual(syncs, [str(self.book), str(self.folder)])
        self.assertEqual(self.book.read_bytes().count(b"\n"), 3)

    def test_the_second_pass_of_a_book_is_one_write_and_one_sync(self):
        self.begin()
        run, calls = self.traced("begin", "b.book", "s.yaml")
        self.assertEqual(run.status, 0, run)
        self.assertEqual([c.name for c in self.on_book(calls)], ["openat", "flock", "write", "fdatasync"], calls)

    def test_a_creation_that_was_cut_off_syncs_the_folder_when_it_is_taken_up(self):
        self.book.write_bytes(b'{"format":"clampbook book 1","seq":0,')
        run, calls = self.traced("begin", "b.book", "s.yaml")
        self.assertEqual(run.status, 0, run)
        syncs = [c.path for c in calls if c.name in ("fsync", "fdatasync")]
        self.assertEqual(syncs, [str(self.book), str(self.folder)])

    def test_readers_open_nothing_for_writing_and_take_no_lock(self):
        self.begin()
        before = self.book.read_bytes()
        for words in (["check", "b.book"], ["plan", "s.yaml"], ["plan", "s.yaml", "--json"], ["convert", "30", "N·m", "ft·lbf"]):
            run, calls = self.traced(*words)
            self.assertIn(run.status, (0, 1), run)
            self.assertEqual([c for c in calls if c.for_writing()], [], words)
            self.assertEqual(self.names(calls, "flock", "fsync", "fdatasync", "ftruncate", "rename", "unlink"), [], words)
        self.assertEqual(self.book.read_bytes(), before)

    def test_what_is_refused_leaves_the_book_as_it_was(self):
        self.begin()
        before = self.book.read_bytes()
        for words in (["log", "b.book", "1", "12"], ["log", "b.book", "9", "12Nm"], ["log", "b.book", "1", "45deg"],
                      ["begin", "b.book", "absent.yaml"]):
            run, calls = self.traced(*words)
            self.assertEqual(run.status, 3, run)
            self.assertEqual([c.name for c in self.on_book(calls) if c.name not in ("openat", "flock")], [], words)
        self.assertEqual(self.book.read_bytes(), before)


main()
