"""Plans each shipped schedule and build, brings it through a pass with every reading at its target, and checks it.

usage: shipped.py PROGRAM SCHEDULES_DIR

A schedule's pass is filled in from its own empty table (plan --csv), a build's from what each answer says is next.
"""
import csv
import datetime
import io
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import unittest

PROGRAM, SCHEDULES = os.path.abspath(sys.argv.pop(1)), pathlib.Path(sys.argv.pop(1)).resolve()
ENVIRONMENT = {**os.environ, "LC_ALL": "C.UTF-8", "TZ": "UTC", "ASAN_OPTIONS": "detect_leaks=0"}
UNITS = {"_Nm": "Nm", "_deg": "deg", "_mm": "mm"}


def files(kind):
    return [p for p in sorted(SCHEDULES.glob("*.yaml")) if p.read_text(encoding="utf-8").startswith(f"format: {kind} 1\n")]


class Clock:
    """Times of entries in the past, each later than the one before it, and every wait waited for."""

    def __init__(self):
        self.now = datetime.datetime.now(datetime.timezone.utc) - datetime.timedelta(hours=12)

    def after(self, step):
        self.now += datetime.timedelta(seconds=1 + (step["wait_s"] or 0))
        return self.now.isoformat(timespec="milliseconds")


def value_of(step):
    """What a person writes down when the step goes right."""
    if step["kind"] in ("do", "wait") or step["kind"] in ("snug", "loosen") and "target" in step:
        return "done"
    if step["kind"] == "count":
        return str(step["expect"])
    suffix = next((s for s in UNITS if f"target{s}" in step), None)
    if step["kind"] == "measure":
        low, high = step[f"low{suffix}"], step[f"high{suffix}"]
        return f"{high / 2 if low is None else low if high is None else (low + high) / 2}{UNITS[suffix]}"
    return f"{step[f'target{suffix}']}{UNITS[suffix]}"


def companion_of(step):
    """The middle of the final torque that the step asks for, or nothing."""
    asked = re.search(r"final torque ([\d.]+)\.\.([\d.]+) N·m", step["text"])
    return f"{(float(asked[1]) + float(asked[2])) / 2}Nm" if asked else ""


class Shipped(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.folder = folder.name

    def run_program(self, *words, stdin=""):
        done = subprocess.run([PROGRAM, *map(str, words)], input=stdin, capture_output=True, text=True, cwd=self.folder,
                              env=ENVIRONMENT, timeout=60)
        return done.returncode, done.stdout, done.stderr

    def must(self, *words, stdin=""):
        status, out, err = self.run_program(*words, stdin=stdin)
        self.assertEqual(status, 0, f"{words}\n{out}{err}")
        return out

    def test_every_file_is_planned_and_says_that_it_is_invented(self):
        for path in files("fastener schedule") + files("build"):
            with self.subTest(path.name):
                self.assertIn("Invented data for practice. Never use on a real machine.", self.must("plan", path))
        self.assertEqual(len(files("fastener schedule")) + len(files("build")) + len(files("tool list")),
                         len(list(SCHEDULES.glob("*"))))

    def test_every_schedule_is_brought_through_its_own_table(self):
        self.assertGreaterEqual(len(files("fastener schedule")), 4)
        for path in files("fastener schedule"):
            with self.subTest(path.name):
                steps = {str(s["step"]): s for s in json.loads(self.must("plan", path, "--json"))["steps"]}
                rows = list(csv.DictReader(io.StringIO(self.must("plan", path, "--csv"))))
                self.assertEqual([r["step"] for r in rows], list(steps))
                clock = Clock()
                for row in rows:
                    step = steps[row["step"]]
                    row.update(value=value_of(step), also=companion_of(step), at=clock.after(step))
                table = io.StringIO()
                writer = csv.DictWriter(table, rows[0])
                writer.writeheader()
                writer.writerows(rows)
                book = path.stem + ".book"
                self.must("begin", book, path)
                out = self.must("log", book, "--lines", "-", stdin=table.getvalue())
                self.assertTrue(out.endswith(f"next: nothing; every step has its entry\n{len(rows)} rows kept\n"), out[-300:])
                self.assertIn("\nComplete: ", self.must("check", book))

    def finish(self, book, begun, clock):
        """Logs what is due until nothing is."""
        step = begun["next"]
        while step:
            value = value_of(step)
            words = [step["bolt"], value] if step["bolt"] else \
                ["--count", value] if step["kind"] == "count" else \
                ["--measure", value] if step["kind"] == "measure" else ["--tick"]
            if companion_of(step):
                words += ["--also", companion_of(step)]
            step = json.loads(self.must("log", book, *words, "--at", clock.after(step), "--json"))["next"]

    def test_every_build_is_brought_through_its_operations(self):
        self.assertGreaterEqual(len(files("build")), 1)
        for path in files("build"):
            with self.subTest(path.name):
                operations = json.loads(self.must("plan", path, "--json"))["operations"]
                names = [o["name"] for o in operations]
                book, clock = path.stem + ".book", Clock()
                for number, operation in enumerate(operations):
                    begun = json.loads(self.must("begin", book, path, "--operation", operation["name"], "--json"))
                    self.assertEqual(begun["steps"], len(operation["steps"]))
                    self.assertEqual(begun["next"], operation["steps"][0])
                    self.finish(book, begun, clock)
                    self.assertIn("\nComplete: ", self.must("check", book))
                    state = re.findall(r": operations (?:finished|open): (.*)\n", self.must("history", book))
                    open_names = names[number + 1:]
                    self.assertEqual(state, [", ".join(names[:number + 1]), ", ".join(open_names) or "none"])


unittest.main()
