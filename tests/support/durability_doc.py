"""Runs the recipes of docs/durability.md, as they stand there, on books that the program has just made.

usage: durability_doc.py PROGRAM SOURCE_DIR
"""
import pathlib
import re
import sqlite3
import subprocess
import sys

from crash_lab import CrashCase, environment, main

SOURCE = pathlib.Path(sys.argv.pop(2))
RECIPES = re.findall(r"^```sh\n(.*?)^```$", (SOURCE / "docs" / "durability.md").read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)


class Durability(CrashCase):
    def setUp(self):
        super().setUp()
        self.assertEqual(len(RECIPES), 3)
        self.check_lines, self.load, self.ask = RECIPES
        schedule = (SOURCE / "schedules" / "split-crankcase.yaml").read_text(encoding="utf-8")
        for name, machine in (("casing", "Larch Quay No. 3"), ("spare", "Larch Quay No. 4")):
            text, count = re.subn(r"^machine: .*$", f"machine: {machine}", schedule, flags=re.MULTILINE)
            self.assertEqual(count, 1)
            (self.folder / f"{name}.yaml").write_text(text, encoding="utf-8")
            self.must(0, "begin", f"{name}.book", f"{name}.yaml")
        # Stage 4 asks for 28.8 to 31.2 N·m.
        for book, bolt, torque in (("casing", "1", "30Nm"), ("casing", "2", "28Nm"), ("casing", "3", "33Nm"), ("spare", "1", "30.5Nm")):
            self.assertIn(self.clampbook("log", f"{book}.book", bolt, torque, "--stage", "4", "--note", 'back\\slash "quoted"').status, (0, 1))
        self.book = self.folder / "casing.book"

    def shell(self, recipe):
        done = subprocess.run(["sh", "-eu", "-c", recipe], cwd=self.folder, env=environment(), capture_output=True, text=True, timeout=60)
        self.assertEqual((done.returncode, done.stderr), (0, ""), recipe)
        return done.stdout

    def test_the_lines_of_a_book_are_checked_without_the_program(self):
        seal = re.search(r"[0-9a-f]{32}", self.clampbook("check", "casing.book").out)[0]
        self.assertEqual(self.shell(self.check_lines), f"6 lines, the last seal is {seal}\n")
        self.book.write_bytes(self.book.read_bytes().replace(b'"value_Nm":28.0', b'"value_Nm":29.0'))
        self.assertEqual(self.shell(self.check_lines).splitlines()[:2],
                         ["line 4: its seal does not hold", "line 5: it does not follow the line above it"])

    def test_one_line_is_checked_with_sha256sum_alone(self):
        line = self.book.read_bytes().splitlines()[3]
        (self.folder / "line").write_bytes(line[: line.index(b',"seal":')])
        digits = self.shell("sha256sum line")[:32]
        self.assertTrue(line.endswith(b'"%s"}' % digits.encode()))

    def test_books_are_loaded_and_asked(self):
        with open(self.book, "ab") as book:
            book.write(b'{"seq":6,"written":"2026-')  # a torn line is left out
        self.shell(self.load)
        self.shell(self.load)  # nothing is loaded twice
        with sqlite3.connect(self.folder / "books.db") as database:
            rows = database.execute("SELECT book, count(*), max(seq) FROM line GROUP BY book ORDER BY book").fetchall()
            texts = [row[0] for row in database.execute("SELECT body FROM line WHERE book = 'casing.book' ORDER BY seq")]
        self.assertEqual(rows, [("casing.book", 6, 5), ("spare.book", 4, 3)])
        self.assertEqual(texts, self.book.read_text(encoding="utf-8").split("\n")[:-1])
        rows = [re.findall(r"[^│]+", line.strip("│")) for line in self.shell(self.ask).splitlines() if line.startswith("│")]
        self.assertEqual([[cell.strip() for cell in row] for row in rows],
                         [["machine", "readings", "low", "high"], ["Larch Quay No. 3", "3", "1", "1"], ["Larch Quay No. 4", "1", "0", "0"]])
        # A reading that was taken back no longer counts.
        self.assertIn(self.clampbook("amend", "casing.book", "--void", "4").status, (0, 1))
        self.assertIn(self.clampbook("log", "casing.book", "3", "30Nm", "--correct", "5").status, (0, 1))
        self.shell(self.load)
        self.assertIn("│ Larch Quay No. 3 │ 2        │ 0   │ 0    │", self.shell(self.ask))


main()
