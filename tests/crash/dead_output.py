"""Nobody reads what is printed: a closed stdout, a full device, a pipe whose reader is gone. Exit 4, and no crash."""
import json
import os
import pathlib
import subprocess
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from crash_lab import CrashCase, main


class DeadOutput(CrashCase):
    def each_dead_output(self):
        yield "closed", {"preexec_fn": lambda: os.close(1), "stdout": None}
        with open("/dev/full", "wb") as full:
            yield "full", {"stdout": full}
        reader, writer = os.pipe()
        os.close(reader)
        yield "pipe", {"stdout": writer}
        os.close(writer)

    def test_what_only_prints_fails(self):
        self.begin()
        verbs = (["plan", "s.yaml"], ["plan", "s.yaml", "--json"], ["check", "b.book"], ["check", "b.book", "--json"],
                 ["convert", "30", "N·m", "ft·lbf"], ["convert", "30", "N·m", "--json"], ["--help"], ["--version"], ["plan", "--help"])
        for name, how in self.each_dead_output():
            for words in verbs:
                with self.subTest(output=name, words=words):
                    run = self.clampbook(*words, **how)
                    self.assertEqual(run.status, 4, run)
                    self.assertIn("output-failed", run.err)
                    if "--json" in words:
                        self.assertEqual([e["slug"] for e in json.loads(run.err)["errors"]], ["output-failed"])

    def test_lines_from_standard_input_fail_alike(self):
        (self.folder / "lines").write_text("30 N·m\n" * 100_000, encoding="utf-8")
        for name, how in self.each_dead_output():
            with self.subTest(output=name), open(self.folder / "lines", "rb") as lines:
                run = self.clampbook("convert", "-", "ft·lbf", stdin=lines, **how)
                self.assertEqual(run.status, 4, run)
                self.assertIn("output-failed", run.err)

    def test_a_reading_is_kept_although_its_answer_is_lost(self):
        self.begin()
        readings = (("1", "12Nm"), ("2", "12Nm"), ("1", "45deg"))
        for count, (name, how) in enumerate(self.each_dead_output(), 1):
            with self.subTest(output=name):
                before = self.book.read_bytes()
                run = self.clampbook("log", "b.book", *readings[count - 1], **how)
                self.assertEqual(run.status, 4, run)
                self.assertIn("output-failed", run.err)
                self.assertNotIn("not recorded", run.err)
                after = self.book.read_bytes()
                self.assertTrue(after.startswith(before))
                self.assertEqual(after.count(b'"kind":"reading"'), count)  # nothing else went into the book
        self.assertEqual((self.filled(), self.slugs()), (3, []))

    def test_no_long_answer_ever_ends_in_the_book(self):
        # With stdout closed, the book would be opened as descriptor 1; a long answer is not held back until the end.
        many = ", ".join(f"{{id: {n}}}" for n in range(1, 301))
        schedule = self.folder / "s.yaml"
        schedule.write_text(schedule.read_text(encoding="utf-8").replace("{id: 1}, {id: 2}", many), encoding="utf-8")
        self.begin()
        before = self.book.read_bytes()
        run = self.clampbook("log", "b.book", "300", "12Nm", "--json", preexec_fn=lambda: os.close(1), stdout=None)
        self.assertEqual(run.status, 4, run)
        after = self.book.read_bytes()
        self.assertTrue(after.startswith(before))
        self.assertEqual(after.count(b"\n"), before.count(b"\n") + 1)
        self.assertEqual(set(self.slugs()), {"missed-step"})

    def test_a_closed_standard_error_harms_nothing(self):
        self.begin()
        before = self.book.read_bytes()
        done = subprocess.run([self.program, "log", "b.book", "1", "12"], cwd=self.folder, stdout=subprocess.PIPE,
                              preexec_fn=lambda: os.close(2), timeout=30)
        self.assertEqual((done.returncode, done.stdout), (3, b""))
        self.assertEqual(self.book.read_bytes(), before)

    def test_all_three_closed_the_book_stays_a_book(self):
        self.begin()
        def close_all():
            for fd in (0, 1, 2):
                os.close(fd)
        before = self.book.read_bytes()
        done = subprocess.run([self.program, "log", "b.book", "1", "12Nm"], cwd=self.folder, preexec_fn=close_all, timeout=30)
        self.assertGreaterEqual(done.returncode, 0)
        after = self.book.read_bytes()
        self.assertTrue(after.startswith(before))
        self.assertEqual(self.slugs(), [])


main()
