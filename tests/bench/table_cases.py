"""The table of the benchmarks: how it shows a row, what it calls above its limit, what it refuses."""
import json
import pathlib
import subprocess
import sys
import unittest

HERE = pathlib.Path(__file__).resolve().parent
ROW = {"work": "invented work", "size": 20000, "of": "bolts", "ours_s": 0.25, "floor_s": 0.1, "ratio": 2.5, "growth": 1.1, "peak_bytes": 54_600_000,
       "bytes": 1_500_000, "limits": {"ratio": 2.5, "growth": 1.15, "ours_s": 0.3, "bytes": 2_000_000}}


def shown(*rows, quick=False, text=None):
    given = text if text is not None else json.dumps({"bench": "invented", "turns": 3, "quick": quick, "rows": rows})
    return subprocess.run([sys.executable, HERE / "table.py"], input=given, capture_output=True, text=True)


class Table(unittest.TestCase):
    def test_a_row_tells_its_numbers_and_its_limits(self):
        run = shown(ROW)
        line = [cell.strip() for cell in run.stdout.splitlines()[2].split("|")]
        self.assertEqual(line, ["invented work", "20 000 bolts", "250 ms", "100 ms", "2.50", "2.5, growth 1.15, 300 ms, 2 MB written", "1.10", "54.6 MB"])
        self.assertEqual(run.stdout.splitlines()[-1], "every row is within its limits")
        self.assertEqual(run.returncode, 0)

    def test_a_limit_holds_up_to_its_own_value_and_no_further(self):
        for key, value, told in (("ratio", 2.51, "ratio 2.51, limit 2.5"), ("growth", 1.16, "growth 1.16, limit 1.15"),
                                 ("ours_s", 0.31, "ours_s 310 ms, limit 300 ms"), ("bytes", 2_100_000, "bytes 2.1 MB, limit 2 MB")):
            self.assertEqual(shown({**ROW, key: ROW["limits"][key]}).returncode, 0, key)
            run = shown(ROW, {**ROW, key: value})
            self.assertEqual(run.returncode, 1, key)
            self.assertEqual(run.stdout.splitlines()[4:], [f"above its limit: invented work: {told}"])

    def test_a_limit_on_a_number_that_is_missing_is_not_held(self):
        run = shown({**ROW, "growth": None})
        self.assertEqual(run.returncode, 1)
        self.assertIn("growth no value, limit 1.15", run.stdout)

    def test_quick_figures_say_so(self):
        self.assertIn("too few to judge by", shown(ROW, quick=True).stdout)
        self.assertNotIn("too few to judge by", shown(ROW).stdout)

    def test_what_is_no_row_is_no_table(self):
        for text in ("", "{}", "not JSON", '{"bench":"x","quick":false,"rows":[]}'):
            run = shown(text=text)
            self.assertEqual(run.returncode, 2, text)
            self.assertEqual(run.stdout, "")


unittest.main()
