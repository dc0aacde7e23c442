"""Whatever plans a schedule says the same of it: plan, predict, begin and its book, report, and a doubt; with tools
and without, and when the line of the plan in the book is damaged.

usage: agreement.py PROGRAM SOURCE_DIR

Over all shipped schedules and the invented ones of tests/reference/predictions.
"""
import html
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import unittest

PROGRAM, SOURCE = os.path.abspath(sys.argv.pop(1)), pathlib.Path(sys.argv.pop(1)).resolve()
ENVIRONMENT = {**os.environ, "LC_ALL": "C.UTF-8", "TZ": "UTC", "ASAN_OPTIONS": "detect_leaks=0"}
FORECAST = ["yield_from_Nm", "yield_from_deg", "may_yield_from_Nm", "may_yield_from_deg", "expect_Nm"]
SCHEDULES = [p for p in sorted([*(SOURCE / "schedules").glob("*.yaml"), *(SOURCE / "tests/reference/predictions").glob("*.yaml")])
             if "format: fastener schedule 1" in p.read_text(encoding="utf-8")]

CASES = [(schedule, tools) for schedule in SCHEDULES for tools in ([], ["--tools", SOURCE / "schedules/tools.yaml"])]


def run(*words, status=(0,)):
    done = subprocess.run([PROGRAM, *map(str, words)], env=ENVIRONMENT, capture_output=True, text=True, timeout=120)
    if done.returncode not in status:
        raise AssertionError(f"{words}: exit {done.returncode}\n{done.stdout}{done.stderr}")
    return done.stdout


def cautions(found):
    return [json.dumps(c) for c in found["cautions"]]


class Agreement(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = pathlib.Path(folder.name)

    def begin(self, schedule, tools):
        book = self.folder / "a.book"
        book.unlink(missing_ok=True)
        begun = json.loads(run("begin", book, schedule, *tools, "--key", "k", "--json"))
        return book, begun

    def begin_again(self, book, schedule, tools):
        return json.loads(run("begin", book, schedule, *tools, "--key", "k", "--json", status=(0, 1)))

    def damage(self, book):
        """One byte of the line `planned`, in the first step's text."""
        content = book.read_bytes()
        at = content.index(b'"text":"', content.index(b'"kind":"planned"')) + 8
        book.write_bytes(content[:at] + bytes([content[at] ^ 1]) + content[at + 1:])

    def doubt(self, book, bolt):
        """What is said of a bolt in doubt after its first step."""
        run("amend", book, "--unsure", bolt, "--note", "x", status=(0, 1))
        found = json.loads(run("check", book, "--so-far", "--json", status=(0, 1)))
        return [f["remedy"] for f in found["findings"] if f["slug"] == "unsure"]

    def page(self, book):
        page = self.folder / "page.html"
        run("report", book, "-o", page, status=(0, 1))
        return html.unescape(re.sub(r"<[^>]+>", "", page.read_text(encoding="utf-8")))

    def test_there_are_schedules(self):
        self.assertGreaterEqual(len(SCHEDULES), 17)

    def test_plan_and_predict(self):
        bands = 0
        for schedule, tools in CASES:
            with self.subTest(schedule=schedule.name, tools=bool(tools)):
                plan = json.loads(run("plan", schedule, *tools, "--json"))
                predict = json.loads(run("predict", schedule, *tools, "--json"))
                self.assertEqual(cautions(plan), cautions(predict))
                if len(predict["fasteners"]) > 1:
                    continue  # which bolt is of which is asked of the others
                (stages,) = [f["stages"] for f in predict["fasteners"].values()] or [[]]
                torques = {s["stage"]: s["torque_Nm"] for s in stages}
                for step in plan["steps"]:
                    if step["expect_Nm"] is None:
                        continue
                    self.assertIn(step["kind"], ("angle", "stretch", "yield"))
                    for point in ("p5", "p95"):
                        self.assertAlmostEqual(step["expect_Nm"][point], torques[step["stage"]][point], places=9)
                    bands += 1
        self.assertGreater(bands, 50)

    def test_plan_and_book(self):
        forecasts = settings = 0
        for schedule, tools in CASES:
            with self.subTest(schedule=schedule.name, tools=bool(tools)):
                plan = json.loads(run("plan", schedule, *tools, "--json"))
                book, begun = self.begin(schedule, tools)
                planned = next(e for e in map(json.loads, book.read_text(encoding="utf-8").splitlines())
                               if e.get("kind") == "planned")["plan"]
                self.assertEqual(cautions(plan), cautions(planned))
                self.assertEqual(begun["next"], plan["steps"][0])
                self.assertEqual(len(planned["steps"]), len(plan["steps"]))
                for kept, printed in zip(planned["steps"], plan["steps"]):
                    shared = planned["forecasts"][kept["forecast"]] if "forecast" in kept else {}
                    self.assertEqual([shared.get(key) for key in FORECAST], [printed[key] for key in FORECAST])
                    for key in printed:
                        if key not in FORECAST and key != "open_time_s":
                            self.assertEqual(kept[key], printed[key], key)
                    forecasts += bool(shared)
                    settings += kept["setting_Nm"] is not None
        self.assertGreater(forecasts, 100)
        self.assertGreater(settings, 100)

    def test_a_damaged_plan_is_made_again_as_it_was(self):
        for schedule, tools in CASES:
            with self.subTest(schedule=schedule.name, tools=bool(tools)):
                plan = json.loads(run("plan", schedule, *tools, "--json"))
                book, begun = self.begin(schedule, tools)
                whole = self.page(book)
                for caution in plan["cautions"]:
                    self.assertIn(caution["text"], whole)
                self.damage(book)
                again = self.begin_again(book, schedule, tools)
                self.assertEqual(again["next"], begun["next"])
                self.assertEqual(again["steps"], begun["steps"])
                made = self.page(book)
                self.assertIn("altered-record", made)
                for caution in plan["cautions"]:
                    self.assertIn(caution["text"], made)

    def test_a_doubt_is_answered_alike(self):
        told = 0
        for schedule, tools in CASES:
            with self.subTest(schedule=schedule.name, tools=bool(tools)):
                bolt = next(s["bolt"] for s in json.loads(run("plan", schedule, "--json"))["steps"] if s["bolt"])
                remedies = []
                for damaged in (False, True):
                    book, _ = self.begin(schedule, tools)
                    if damaged:
                        self.damage(book)
                    remedies.append(self.doubt(book, bolt))
                self.assertEqual(len(remedies[0]), 1)
                self.assertEqual(*remedies)
                told += "Else try" in remedies[0][0]
        self.assertGreater(told, 5)


if __name__ == "__main__":
    unittest.main()
