"""What the program asks of the system, counted: calls, syncs, bytes read and written. No clock, so it holds anywhere.

usage: counters.py PROGRAM

Each number is a budget with its reason beside it; docs/performance.md tells them to people. A call more, such as a
second sync, a second look at the book or a part of it written again, fails. tests/crash holds the order of the calls
on the book; here is how many there are, and that they do not grow with the book.
"""
import os
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from crash_lab import CrashCase, main

SCHEDULES = pathlib.Path(__file__).resolve().parents[2] / "schedules"
SMALL, LARGE = 20, 200  # bolts, each with one reading

# The allocator's: how many is for it to choose.
OF_MEMORY = {"brk", "mmap", "munmap", "mremap", "madvise", "mprotect"}

# What main begins with, besides the signal by which it is known: another signal ignored, and one descriptor opened and
# closed, which shows that stdin, stdout and stderr have theirs.
BEGINS = ["rt_sigaction", "openat", "close"]
BLOCK = 1 << 20  # bytes of a book that are read at once
TERMINAL = 2  # ioctl: whether stdout is a terminal, for colour and for the width of lines
READ_A_FILE = 4  # open, size, one read, close
# The clock's zone, which the C library looks up once: open, size twice, read, seek, read, close.
TIME_ZONE = 7

# Whom the program needs beside the C and C++ libraries; each costs ten calls and its share of every start.
LIBRARIES = {"libyaml-cpp", "libfmt", "libspdlog", "libmd", "libstdc++", "libm", "libgcc_s", "libc"}


def schedule(bolts):
    listed = ", ".join(f"{{id: {i}}}" for i in range(1, bolts + 1))
    return ("format: fastener schedule 1\ntitle: Practice cover\nnotice: Invented data for practice. Never use on a real machine.\n"
            f"fasteners: {{cover-bolt: {{thread: M8, strength: \"8.8\"}}}}\norder: listed\nbolts: [{listed}]\nstages:\n  - {{torque: 12 N·m}}\n")


def rows(first, last):
    return "bolt,value\n" + "".join(f"{i},12 N·m\n" for i in range(first, last + 1))


def named(calls, *names):
    return [c for c in calls if c.name in names]


def moved(calls):
    """Bytes that these calls read or wrote."""
    return sum(int(c.result.split()[0]) for c in calls)


class Counters(CrashCase):
    def counted(self, *words, status=(0,), **how):
        """The run, and its calls from main on, without those of memory."""
        run, calls = self.traced(*words, calls="all", **how)
        self.assertIn(run.status, status, run)
        # The first act of main: a reader that goes away is told by a write, not by a signal.
        start = next(i for i, c in enumerate(calls) if c.name == "rt_sigaction" and c.arguments.startswith("SIGPIPE, {sa_handler=SIG_IGN"))
        self.before_main = calls[:start]
        begins = calls[start + 1:start + 1 + len(BEGINS)]
        self.assertEqual([c.name for c in begins], BEGINS, begins)
        return run, [c for c in calls[start + 1 + len(BEGINS):] if c.name not in OF_MEMORY]

    def assert_calls(self, calls, most):
        self.assertLessEqual(len(calls), most, "\n".join(map(str, calls)))

    def assert_no_sync(self, calls):
        self.assertEqual(named(calls, "fsync", "fdatasync", "sync", "syncfs", "msync", "flock", "rename", "unlink", "ftruncate"), [])

    def assert_answer(self, run, calls, writes=1):
        """All that is written is the answer, each of its parts in one call."""
        written = named(calls, "write", "writev", "pwrite64")
        self.assertEqual(len(written), writes, written)
        self.assertEqual(moved(written), len(run.out.encode()))

    def on(self, calls, path):
        return [c for c in calls if c.path is not None and os.path.basename(c.path) == os.path.basename(path)]

    def assert_read_once(self, calls, path, reads=1):
        read = named(self.on(calls, path), "read", "pread64", "readv")
        self.assertEqual(moved(read), os.path.getsize(self.folder / path))
        self.assertEqual(len(read), reads * (os.path.getsize(self.folder / path) // BLOCK + 1), [c.name for c in read])
        self.assertEqual(len(named(self.on(calls, path), "openat")), 1)

    def book_of(self, bolts, read=None):
        """b.book with a pass of so many bolts, of which `read` have their reading; all by default."""
        self.book.unlink(missing_ok=True)
        (self.folder / "s.yaml").write_text(schedule(bolts), encoding="utf-8")
        self.begin()
        count = bolts if read is None else read
        if count > 0:
            (self.folder / "rows.csv").write_text(rows(1, count), encoding="utf-8")
            self.must(0, "log", "b.book", "--lines", "rows.csv")

    # Start-up

    def test_a_start_opens_the_libraries_and_nothing_else(self):
        run, calls = self.counted("convert", "30", "N·m", "ft·lbf")
        opened = [os.path.basename(c.path) for c in self.before_main if c.name == "openat" and not c.failed]
        libraries = {name.split(".so")[0] for name in opened if ".so" in name and not name.startswith("ld.so")}
        self.assertEqual(libraries - LIBRARIES, set())
        self.assertEqual([name for name in opened if ".so" not in name], [])  # no configuration, no locale
        self.assertEqual(len(opened), len(set(opened)))
        self.assert_answer(run, calls)
        self.assert_no_sync(calls)
        self.assert_calls(calls, TERMINAL + 1)  # the answer

    # Those who read a schedule

    def test_a_plan_is_one_read_of_the_schedule_and_one_answer(self):
        for name in sorted(p.name for p in SCHEDULES.glob("*.yaml") if "format: fastener schedule" in p.read_text(encoding="utf-8")):
            with self.subTest(name):
                run, calls = self.counted("plan", str(SCHEDULES / name))
                self.assert_read_once(calls, SCHEDULES / name)
                self.assert_answer(run, calls)
                self.assert_no_sync(calls)
                self.assert_calls(calls, TERMINAL + READ_A_FILE + 1)  # the answer

    def test_a_prediction_asks_no_more_than_a_plan_for_any_number_of_samples(self):
        for samples in ("400", "40000"):
            with self.subTest(samples):
                run, calls = self.counted("predict", str(SCHEDULES / "split-crankcase.yaml"), "--samples", samples)
                self.assert_read_once(calls, SCHEDULES / "split-crankcase.yaml")
                self.assert_answer(run, calls)
                self.assert_no_sync(calls)
                self.assert_calls(calls, TERMINAL + READ_A_FILE + 1)  # the answer

    # Those who read a book

    def test_a_check_and_a_report_are_one_read_of_the_book_however_long_it_is(self):
        for bolts in (SMALL, LARGE):
            self.book_of(bolts)
            for words in (["check", "b.book"], ["check", "b.book", "--json"], ["report", "b.book"], ["report", "b.book", "--format", "csv"],
                          ["report", "b.book", "--format", "html"], ["history", "b.book"]):
                with self.subTest(words, bolts=bolts):
                    run, calls = self.counted(*words)
                    self.assert_read_once(calls, "b.book")
                    self.assert_answer(run, calls)
                    self.assert_no_sync(calls)
                    self.assert_calls(calls, TERMINAL + READ_A_FILE + 1)  # the answer; no clock, no zone

    def test_a_report_in_a_file_is_written_once_and_synced_once_with_its_folder(self):
        for bolts in (SMALL, LARGE):
            with self.subTest(bolts=bolts):
                self.book_of(bolts)
                (self.folder / "r.html").unlink(missing_ok=True)
                run, calls = self.counted("report", "b.book", "-o", "r.html")
                self.assert_read_once(calls, "b.book")
                written = [c for c in named(calls, "write", "writev") if c.path and "r.html" in c.path]
                self.assertEqual(moved(written), (self.folder / "r.html").stat().st_size)
                self.assertEqual(len(written), 1, written)
                # The file, then the folder's new name for it.
                self.assertEqual(len(named(calls, "fsync", "fdatasync")), 2)
                self.assertEqual(len(named(calls, "rename")), 1)
                # Beside terminal and book: is it there, where does it lead, its name for the time being; open, write, sync, rename,
                # close; the folder's open, sync, close; and a word that it is written.
                self.assert_calls(calls, TERMINAL + READ_A_FILE + 4 + 5 + 3 + 1)

    # Those who write a book

    def test_a_reading_costs_the_same_calls_in_a_short_book_and_in_one_ten_times_as_long(self):
        costs = []
        for bolts in (SMALL, LARGE):
            self.book_of(bolts, read=bolts - 1)
            before = self.book.read_bytes()
            run, calls = self.counted("log", "b.book", str(bolts), "12Nm")
            after = self.book.read_bytes()
            self.assertTrue(after.startswith(before))
            line = after[len(before):]
            self.assertEqual(line.count(b"\n"), 1)
            on_book = self.on(calls, "b.book")
            written = named(on_book, "write", "writev", "pwrite64")
            self.assertEqual([moved([c]) for c in written], [len(line)])  # the line, and not a byte more
            read = named(on_book, "read", "pread64")
            self.assertEqual([moved([c]) for c in read], [len(before)])  # the whole book, once
            self.assertEqual(len(named(calls, "fsync", "fdatasync")), 1)  # one acknowledged line
            self.assertEqual(len(named(calls, "flock")), 1)  # close gives it back
            # Open, what it is, lock, how long it is under the lock, read, write, sync, close; then the answer.
            self.assert_calls(calls, TERMINAL + TIME_ZONE + 8 + 1)
            costs.append(sorted(c.name for c in calls))
        self.assertEqual(costs[0], costs[1])

    def test_rows_of_a_table_cost_one_write_and_one_sync_each_and_one_read_of_the_book_for_all(self):
        costs = []
        for bolts in (SMALL, LARGE):
            self.book_of(bolts, read=0)
            before = self.book.stat().st_size
            (self.folder / "rows.csv").write_text(rows(1, bolts), encoding="utf-8")
            run, calls = self.counted("log", "b.book", "--lines", "rows.csv")
            on_book = self.on(calls, "b.book")
            written = named(on_book, "write", "writev", "pwrite64")
            self.assertEqual(len(written), bolts)
            self.assertEqual(moved(written), self.book.stat().st_size - before)
            self.assertEqual(len(named(calls, "fsync", "fdatasync")), bolts)  # each row is acknowledged by itself
            self.assertEqual(moved(named(on_book, "read", "pread64")), before)
            costs.append(len(calls))
        # A row is a lock taken and given back, a look whether others wrote, a write, a sync and an answer.
        self.assertLessEqual((costs[1] - costs[0]) / (LARGE - SMALL), 6)

    def test_a_reading_in_the_guide_costs_one_write_and_one_sync(self):
        costs = []
        for bolts in (SMALL, LARGE):
            self.book_of(bolts, read=0)
            before = self.book.stat().st_size
            # The same line twice in a row would be asked about.
            (self.folder / "typed").write_text("".join(f"12.{i % 2}Nm\n" for i in range(bolts)), encoding="utf-8")
            with open(self.folder / "typed", "rb") as typed:
                run, calls = self.counted("guide", "b.book", "--json", stdin=typed)
            on_book = self.on(calls, "b.book")
            written = named(on_book, "write", "writev", "pwrite64")
            self.assertEqual(len(written), bolts)
            self.assertEqual(moved(written), self.book.stat().st_size - before)
            self.assertEqual(len(named(calls, "fsync", "fdatasync")), bolts)
            self.assertEqual(moved(named(on_book, "read", "pread64")), before)
            costs.append(len(calls))
        # The book given to others while the line is typed: unlock, lock, has it grown. Then write, sync, and two answers: what was
        # recorded, what is due. The input comes in blocks.
        self.assertLessEqual((costs[1] - costs[0]) / (LARGE - SMALL), 7)

    # Curves

    def test_a_curve_is_read_once_in_blocks(self):
        text = (SCHEDULES / "pull.csv").read_text(encoding="utf-8")
        block = 1 << 17
        head = text.index("\n", text.index("angle_deg")) + 1
        for copies in (1, 100):
            with self.subTest(copies=copies):
                lines = text[head:].splitlines(keepends=True)
                (self.folder / "p.csv").write_text(text[:head] + "".join(line * copies for line in lines), encoding="utf-8")
                size = (self.folder / "p.csv").stat().st_size
                run, calls = self.counted("trace", "p.csv")
                read = named(self.on(calls, "p.csv"), "read")
                self.assertEqual(moved(read), size)
                # Whole blocks but for half a line that is kept in front of the next, and the end of the file.
                self.assertLessEqual(len(read), size // (block - 1024) + 3, read)
                self.assert_answer(run, calls, writes=2)  # the reading, and its cautions
                self.assert_no_sync(calls)
                # Is it a folder; open, close.
                self.assert_calls(calls, TERMINAL + len(read) + 3 + 2)


main()
