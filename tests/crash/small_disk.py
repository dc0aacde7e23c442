"""A disk of 64 KiB that fills up: nothing acknowledged is lost, the message says what to do, and with room work goes on.

Mounting needs root; where it is not allowed, the limit on the size of a file stands in for the disk.
A symbolic link as BOOK leads to its target, and a book of 200 MB is read with --full.

usage: small_disk.py PROGRAM [--full]
"""
import pathlib
import subprocess
import sys
import time
import unittest

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from book_lines import faults, read_book, sealed
from crash_lab import CrashCase, limit_file_size, main

FULL = "--full" in sys.argv
SIZE = 64 << 10
LARGE = 200_000_000


class SmallDisk(CrashCase):
    def mount(self):
        """A folder with a disk of its own, or None."""
        disk = self.folder / "disk"
        disk.mkdir()
        done = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={SIZE}", "clampbook-test", str(disk)], capture_output=True)
        if done.returncode != 0:
            return None
        self.addCleanup(subprocess.run, ["umount", str(disk)], check=True)
        return disk

    def fill(self, log):
        """Logs until the disk is full; the lines that were acknowledged."""
        kept = []
        while True:
            run = log(len(kept))
            if run.status == 4:
                self.assertIn("[not-recorded]", run.err)
                self.assertIn("all earlier entries are kept", run.err)
                self.assertIn("make room", run.err)
                return kept
            self.assertIn(run.status, (0, 1), run)
            kept.append(read_book(self.book.read_bytes())[-1].raw)
            self.assertLess(len(kept), 1000)

    def holds_all(self, kept):
        data = self.book.read_bytes()
        self.assertEqual(faults(data), [])
        self.assertEqual([line.raw for line in read_book(data)[3:] if line.body][: len(kept)], kept)

    def test_a_full_disk_loses_nothing_and_more_room_is_enough(self):
        disk = self.mount()
        if disk is not None:
            self.book = disk / "b.book"
            how = {}
        else:
            how = {"preexec_fn": limit_file_size(SIZE)}
        name = str(self.book)
        self.must(0, "begin", name, "s.yaml")

        def log(n):
            return self.clampbook("log", name, "1", "12Nm", "--stage", "1", "--note", f"{n} " + "x" * (200 + 37 * (n % 7)), **how)

        kept = self.fill(log)
        self.assertGreater(len(kept), 50)
        self.holds_all(kept)
        self.assertIn(self.clampbook("check", name).status, (0, 1))
        # Still full: said again, and nothing is lost by asking.
        self.assertEqual(log(1000).status, 4)
        self.holds_all(kept)
        if disk is not None:
            subprocess.run(["mount", "-o", f"remount,size={2 * SIZE}", str(disk)], check=True)
        how.clear()
        self.assertIn(log(2000).status, (0, 1))
        self.holds_all([*kept, read_book(self.book.read_bytes())[-1].raw])
        run = self.clampbook("check", name, "--so-far", "--json")
        self.assertNotIn("altered-record", run.out)

    def test_a_link_leads_to_the_book(self):
        self.begin()
        (self.folder / "elsewhere").mkdir()
        link = self.folder / "elsewhere" / "link.book"
        link.symlink_to("../b.book")
        self.must(0, "log", str(link), "1", "12Nm")
        self.assertTrue(link.is_symlink())
        self.assertEqual(self.filled(), 1)
        # A link to what does not exist yet: the book is made where it leads.
        dangling = self.folder / "elsewhere" / "new.book"
        dangling.symlink_to("../made.book")
        self.must(0, "begin", str(dangling), "s.yaml")
        self.assertTrue(dangling.is_symlink())
        self.assertEqual((self.folder / "made.book").read_bytes().count(b"\n"), 3)

    @unittest.skipUnless(FULL, "takes long: --full")
    def test_a_book_of_200_megabytes_is_read(self):
        self.begin()
        lines = read_book(self.book.read_bytes())
        seal, seq, size = lines[-1].seal, len(lines), self.book.stat().st_size
        with open(self.book, "ab") as book:
            while size < LARGE:
                line = sealed({"seq": seq, "written": "2026-05-04T09:30:00.000+00:00", "at": "2026-05-04T09:30:00.000+00:00", "kind": "note",
                               "pass": 1, "note": "x" * 5000}, seal)
                book.write(line.raw + b"\n")
                seal, seq, size = line.seal, seq + 1, size + len(line.raw) + 1
        start = time.monotonic()
        self.must(1, "check", "b.book")
        checked = time.monotonic()
        self.must(0, "log", "b.book", "1", "12Nm")
        print(f"{size} bytes, {seq} lines: checked in {checked - start:.1f} s, logged in {time.monotonic() - checked:.1f} s")
        self.assertEqual(read_book(self.book.read_bytes())[-1].body["seq"], seq)


if FULL:
    sys.argv.remove("--full")
main()
