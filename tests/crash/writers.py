"""Four writers at once and a reader beside them: every line whole, numbers without a gap, the chain of seals unbroken.

usage: writers.py PROGRAM [--full]     4 x 60 readings; 4 x 250 with --full
"""
import json
import pathlib
import subprocess
import sys
import threading

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from book_lines import faults, read_book
from crash_lab import SECONDS, CrashCase, environment, main

FULL = "--full" in sys.argv
WRITERS = 4
READINGS = 250 if FULL else 60

# As many steps as there are readings; each writer has bolts of its own.
SCHEDULE = """\
format: fastener schedule 1
title: Practice flange
notice: Invented data for practice. Never use on a real machine.
fasteners: {flange-bolt: {thread: M8, strength: "8.8"}}
bolts: [%s]
stages: [{torque: 12 N·m}]
""" % ", ".join(f"{{id: {n}}}" for n in range(1, WRITERS * READINGS + 1))


class Writers(CrashCase):
    def write(self, writer, answers, failures):
        for bolt in range(writer * READINGS + 1, (writer + 1) * READINGS + 1):
            done = subprocess.run([self.program, "log", "b.book", str(bolt), "12Nm", "--by", f"writer {writer}", "--json"], cwd=self.folder,
                                  env=environment(), stdin=subprocess.DEVNULL, capture_output=True, timeout=SECONDS)
            if done.returncode not in (0, 1):  # a reading before its turn is a warning
                failures.append(done.stderr)
                return
            answers.append((json.loads(done.stdout)["seq"], str(bolt)))

    def read(self, stop, counts, failures):
        while not stop.is_set():
            done = subprocess.run([self.program, "check", "b.book", "--so-far", "--json"], cwd=self.folder, env=environment(),
                                  stdin=subprocess.DEVNULL, capture_output=True, timeout=SECONDS)
            if done.returncode not in (0, 1):
                failures.append(done.stderr)
                return
            found = json.loads(done.stdout)
            counts.append(found["steps"]["filled"])
            failures.extend(f for f in found["findings"] if f["slug"] in ("altered-record", "clock-back"))

    def test_writers_wait_for_each_other_and_a_reader_for_none(self):
        (self.folder / "s.yaml").write_text(SCHEDULE, encoding="utf-8")
        self.begin()
        answers, failures, counts, stop = [], [], [], threading.Event()
        reader = threading.Thread(target=self.read, args=(stop, counts, failures))
        writers = [threading.Thread(target=self.write, args=(n, answers, failures)) for n in range(WRITERS)]
        for thread in [reader, *writers]:
            thread.start()
        for thread in writers:
            thread.join()
        stop.set()
        reader.join()
        self.assertEqual(failures[:3], [])
        data = self.book.read_bytes()
        self.assertEqual(faults(data), [])
        self.assertTrue(data.endswith(b"\n"))
        readings = read_book(data)[3:]
        self.assertEqual([line.body["kind"] for line in readings], ["reading"] * (WRITERS * READINGS))
        # What each writer was told is what stands there.
        self.assertEqual(sorted(answers), [(line.number, line.body["bolt"]) for line in readings])
        self.assertEqual(counts, sorted(counts))
        self.assertGreater(len(counts), 10)
        check = self.check()
        self.assertEqual(check["steps"]["filled"], WRITERS * READINGS)
        print(f"{len(readings)} readings by {WRITERS} writers, {len(counts)} checks beside them")


if FULL:
    sys.argv.remove("--full")
main()
