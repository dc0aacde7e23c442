"""Every benchmark runs, and the table has every row with every number. What the numbers are is no test.

usage: whole_table.py BUILD_DIR
"""
import math
import pathlib
import subprocess
import sys
import unittest

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))
import table  # noqa: E402

WORKS = ["start-up", "plan of a grid", "plan of a grid, JSON", "plan of two rows", "plan of two rows, JSON", "append", "read a book", "check", "log",
         "predict, sampling", "predict, whole program", "convert lines", "convert lines, JSON", "trace, long log", "trace, short log",
         "report, page of 300 lines", "report, page of 60 000 lines", "report, CSV", "sheet", "estimates", "report with estimates", "guide, one line", "log --lines"]
WITHOUT_GROWTH = ["start-up"]


class WholeTable(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        run = subprocess.run(["sh", HERE / "run", "--quick", "--json", "--build", cls.build], capture_output=True, text=True)
        assert run.returncode in (0, 1), run.stderr  # 1: above a limit, which is for a person on a quiet machine to judge
        cls.status, cls.text = run.returncode, run.stdout
        cls.objects, cls.rows = table.read(cls.text)

    def test_every_row_is_there_once_and_in_order(self):
        self.assertEqual([row["work"] for row in self.rows], WORKS)

    def test_the_page_tells_of_every_row(self):
        page = (HERE.parents[1] / "docs" / "performance.md").read_text(encoding="utf-8")
        self.assertEqual([work for work in WORKS if f"| {work} |" not in page], [])

    def test_every_number_is_filled_in(self):
        for row in self.rows:
            for key in ("size", "ours_s", "floor_s", "ratio", "peak_bytes"):
                self.assertGreater(row[key], 0, (row["work"], key))
                self.assertTrue(math.isfinite(row[key]), (row["work"], key))
            if row["work"] in WITHOUT_GROWTH:
                self.assertIsNone(row["growth"])
            else:
                self.assertTrue(math.isfinite(row["growth"]), row["work"])
            self.assertTrue(row["limits"], row["work"])
            for key, most in row["limits"].items():
                self.assertGreater(most, 0, (row["work"], key))
                self.assertIsNotNone(row[key], (row["work"], key))

    def test_memory_is_that_of_our_program(self):
        for row in self.rows:
            # More than a page, less than any of these works takes on a machine that could run them.
            self.assertTrue(1e6 < row["peak_bytes"] < 4e9, row)

    def test_the_table_shows_them_all_and_tells_by_its_end_what_the_status_says(self):
        shown = subprocess.run([sys.executable, HERE / "table.py"], input=self.text, capture_output=True, text=True)
        self.assertEqual(shown.returncode, self.status, shown.stderr)
        cells = [[cell.strip() for cell in line.split("|")] for line in shown.stdout.splitlines() if " | " in line]
        self.assertEqual(tuple(cells[0]), table.HEAD)
        self.assertEqual([line[0] for line in cells[1:]], WORKS)
        for line in cells[1:]:
            empty = [head for head, cell in zip(table.HEAD, line) if cell in ("", "-")]
            self.assertEqual(empty, ["exponent of growth"] if line[0] in WITHOUT_GROWTH else [], line)


WholeTable.build = sys.argv[1]
unittest.main(argv=sys.argv[:1])
