"""The guide with a simulated wrench: on a pseudo-terminal as its serial device, on a pipe, on a file, on standard input.

usage: wrench.py PROGRAM SCHEDULES
"""
import json
import os
import pathlib
import pty
import select
import subprocess
import sys
import time
import tty
import unittest

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from crash_lab import environment
from terminal import Terminal
from workshop import WorkshopCase

PROGRAM = sys.argv[1]
SCHEDULES = pathlib.Path(sys.argv[2])
TOOLS = """\
format: tool list 1
title: One wrench
notice: Invented data for practice. Never use on a real machine.
torque_wrenches:
  digital:
    range: 5..100 N·m
    accuracy: 1 %
    due: 2020-01-01
    indicates: value
    unit: N·m
    line: 'P{skip}={torque} N·m @{angle}'
    ignore: '#'
"""
COVER = """\
format: fastener schedule 1
title: Practice cover
notice: Invented data for practice. Never use on a real machine.
fasteners: {cover-bolt: {thread: M8, strength: "8.8"}}
bolts: [{id: 1}, {id: 2}]
order: listed
stages:
  - {torque: 12 N·m}
  - {angle: 45°}
"""


class Serial:
    """A device that can be pulled out and plugged in again under the same name."""

    def __init__(self, path):
        self.path = path
        self.master = None
        self.plug_in()

    def plug_in(self):
        self.master, slave = pty.openpty()
        tty.setraw(slave)
        temporary = self.path.with_name("other")
        os.symlink(os.ttyname(slave), temporary)
        os.replace(temporary, self.path)
        self.slave = slave  # kept until the guide has opened it

    def send(self, data):
        os.write(self.master, data)

    def pull_out(self):
        self.path.unlink()
        os.close(self.slave)
        os.close(self.master)


class Piped:
    """The guide without a terminal: objects of --json as they come."""

    def __init__(self, words, folder, stdin=None):
        self.process = subprocess.Popen([PROGRAM, *map(str, words)], cwd=folder, env=environment(), stdin=subprocess.PIPE if stdin is None else stdin,
                                        stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        self.buffer = b""

    def next(self, seconds=20):
        end = time.monotonic() + seconds
        while b"\n" not in self.buffer:
            ready, _, _ = select.select([self.process.stdout], [], [], max(0, end - time.monotonic()))
            got = os.read(self.process.stdout.fileno(), 65536) if ready else b""
            if not got:
                raise AssertionError(f"no line in {seconds} s; stderr: {self.process.stderr.read() if self.process.poll() is not None else ''}")
            self.buffer += got
        line, self.buffer = self.buffer.split(b"\n", 1)
        return json.loads(line)

    def until(self, event):
        while True:
            got = self.next()
            if got["event"] == event:
                return got

    def type(self, line):
        self.process.stdin.write(line if isinstance(line, bytes) else line.encode() + b"\n")
        self.process.stdin.flush()

    def drop(self):
        if self.process.returncode is None:
            self.process.kill()
            self.end()

    def end(self):
        self.process.stdin.close()
        self.process.wait(20)
        for stream in (self.process.stdout, self.process.stderr):
            stream.close()
        return self.process.returncode


class WrenchCase(WorkshopCase):
    program = PROGRAM
    files = {"cover.yaml": COVER, "tools.yaml": TOOLS}

    def begin(self, schedule="cover.yaml"):
        super().begin(schedule, "--tools", "tools.yaml")

    def readings(self):
        return [line for line in self.entries() if line["kind"] == "reading"]

    def piped(self, *words):
        guide = Piped(["guide", "b.book", "--json", *words], self.folder)
        self.addCleanup(guide.drop)
        return guide

    def on_terminal(self, *words):
        guide = Terminal([PROGRAM, "guide", "b.book", *words], self.folder)
        self.addCleanup(guide.kill)
        return guide

    def plan(self, schedule):
        return json.loads(self.run_program("plan", schedule, "--json").stdout)["steps"]

    # --- whole passes

    def test_a_whole_pass_by_a_serial_wrench_needs_keys_at_the_gates_alone(self):
        self.begin(SCHEDULES / "split-crankcase.yaml")
        wrench = Serial(self.folder / "tty")
        guide = self.on_terminal("--wrench", "serial:tty,19200,8N1", "--tool", "digital")
        keys, stage, steps = 0, None, self.plan(SCHEDULES / "split-crankcase.yaml")
        for number, step in enumerate(steps, start=1):
            tenth = number % 7 / 10
            if step["bolt"] and step["stage"] != stage:
                guide.wait_for(r"calibration was due on 2020-01-01" if step["kind"] != "angle" else r"Stage \d+: angle")
                guide.wait_for(r"right\? y > ")
                guide.type("y")
            stage = step["stage"]
            guide.wait_for(rf"step {number} of ")
            guide.wait_for(r"> ")
            if step["bolt"] is None:
                guide.type({"do": "y", "count": "4", "measure": "1.8 N·m"}[step["kind"]])
                keys += 1
            elif step["kind"] == "angle":  # in three strokes
                for angle in (20, 25.5, 14 + tenth):
                    wrench.send(f"P{number}={60 + angle / 10:.1f} N·m @{angle:.1f}\r\n".encode())
                    guide.wait_for(r"recorded \d+: ")
            else:
                wrench.send(f"P{number}={(8 if step['kind'] == 'snug' else 30) + tenth:.1f} N·m @12\r\n".encode())
            guide.wait_for(r"recorded \d+: ") if step["kind"] != "angle" else None
        guide.wait_for(r"Every step has its entry")
        guide.end()
        self.assertEqual(keys, sum(step["bolt"] is None for step in steps))
        check = self.check()
        self.assertEqual({f["slug"] for f in check["findings"] if f["severity"] == "fault"}, set())
        self.assertEqual(check["steps"]["filled"], len(steps))

    def test_a_whole_pass_over_a_pipe_without_a_terminal(self):
        self.begin()
        os.mkfifo(self.folder / "pipe")
        guide = self.piped("--wrench", "pipe", "--tool", "digital")
        self.assertEqual(guide.next()["step"]["bolt"], "1")
        with open(self.folder / "pipe", "wb", buffering=0) as wrench:
            wrench.write(b"# zeroed\nP1=12.0 N\xc2\xb7m @5\n")
            self.assertEqual(guide.until("recorded")["value_Nm"], 12.0)
            wrench.write(b"P2=12.1 N\xc2\xb7m @5\nP3=20.0 N\xc2\xb7m @20\n")
            self.assertEqual(guide.until("recorded")["bolt"], "2")
            self.assertEqual(guide.until("recorded")["value_deg"], 20.0)
            wrench.write(b"P4=21.0 N\xc2\xb7m @24.5\nP5=22.0 N\xc2\xb7m @45\n")
            stroke = guide.until("recorded")
            self.assertEqual((stroke["bolt"], stroke["value_deg"], stroke["also_Nm"]), ("1", 44.5, 21.0))
            self.assertEqual(guide.until("recorded")["bolt"], "2")
        self.assertEqual(guide.until("stopped")["reason"], "finished")
        guide.end()
        self.assertEqual([f["slug"] for f in self.check()["findings"] if f["severity"] == "fault"], [])

    # --- what must not be recorded

    def test_what_cannot_be_read_is_shown_and_not_recorded(self):
        self.begin()
        os.mkfifo(self.folder / "pipe")
        guide = self.piped("--wrench", "pipe")
        with open(self.folder / "pipe", "wb", buffering=0) as wrench:
            for line, reason in ((b"12.0 N\xc2\xb7m*5A", "unreadable"), (b"OL", "unreadable"), (b"12.0", "unreadable"), (b"12\x00.0 Nm", "unreadable"),
                                 (b"\xff\xfe\x00", "unreadable"), (b"x" * 10_000, "too-long"), (b"45 deg", "wrong-dimension"), (b"-12 Nm", "unreadable"),
                                 (b"12.0 Nm 13.0 Nm", "unreadable"), (b"12,0 Nm", "unreadable"), (b"0.2 mm", "wrong-dimension")):
                wrench.write(line + b"\n")
                self.assertEqual((line, guide.until("unread")["reason"]), (line, reason))
            self.assertEqual(self.readings(), [])
            wrench.write(b"8.9 ft-lb\n")  # another unit than the plan's is no fault of the reading
            self.assertAlmostEqual(guide.until("recorded")["value_Nm"], 8.9 * 1.3558179483314004, places=9)  # exact by definition
        guide.end()

    def test_a_value_that_is_told_twice_is_held(self):
        self.begin()
        os.mkfifo(self.folder / "pipe")
        guide = self.piped("--wrench", "pipe")
        with open(self.folder / "pipe", "wb", buffering=0) as wrench:
            wrench.write(b"12.0 Nm\n12.0 Nm\n")
            guide.until("recorded")
            self.assertEqual(guide.until("unread")["reason"], "repeat")
            time.sleep(2.1)
            wrench.write(b"12.0 Nm\n")
            self.assertEqual(guide.until("recorded")["bolt"], "2")
        guide.end()

    def test_a_pull_that_shows_less_than_the_one_before_is_asked_about(self):
        self.begin()
        wrench = Serial(self.folder / "tty")
        guide = self.on_terminal("--wrench", "serial:tty")
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"bolt 1 > ")
        wrench.send(b"6.0 Nm\r")
        guide.wait_for(r"6 N·m to go")
        wrench.send(b"10.0 Nm\r")
        guide.wait_for(r"2 N·m to go")
        wrench.send(b"8.0 Nm\r")
        guide.wait_for(r"\[doubled\]")
        guide.wait_for(r"keep it\? y/n > ")
        self.assertEqual([r["value_Nm"] for r in self.readings()], [6.0, 10.0, 8.0])  # all on disk before the question
        wrench.send(b"12.0 Nm\r")
        guide.wait_for(r"'12.0 Nm' waits for your answer")
        guide.type("n")
        guide.wait_for(r"not recorded: '12.0 Nm' came before a line was taken back")
        guide.wait_for(r"recorded \d+: line 5 does not count")
        guide.wait_for(r"2 N·m to go")  # line 4 stands again
        wrench.send(b"12.0 Nm\r")
        guide.wait_for(r"recorded \d+: bolt 1, step 1, stage 1 \(torque\): 12 N·m")

    def test_readings_that_come_during_a_question_wait_in_order(self):
        self.begin()
        wrench = Serial(self.folder / "tty")
        guide = self.on_terminal("--wrench", "serial:tty")
        guide.wait_for(r"right\? y > ")
        wrench.send(b"12.0 Nm\n")
        guide.wait_for(r"waits for your answer")
        wrench.send(b"12.2 Nm\n")
        guide.wait_for(r"waits for your answer")
        self.assertEqual(self.readings(), [])
        guide.type("y")
        guide.wait_for(r"recorded 3: bolt 1")
        guide.wait_for(r"recorded 4: bolt 2")
        self.assertEqual([(r["bolt"], r["value_Nm"]) for r in self.readings()], [("1", 12.0), ("2", 12.2)])

    def test_what_waits_is_not_filed_once_a_line_is_taken_back(self):
        """The later pulls moved one bolt back, in window; and at the end of the guide they went without a word."""
        for answer, why in (("n", "whose reading it is\\s+can't be told"), ("q", "came before the guide ended")):
            with self.subTest(answer=answer):
                (self.folder / "b.book").unlink(missing_ok=True)
                self.begin()
                wrench = Serial(self.folder / f"tty-{answer}")
                guide = self.on_terminal("--wrench", f"serial:tty-{answer}")
                guide.wait_for(r"right\? y > ")
                guide.type("y")
                guide.wait_for(r"bolt 1 > ")
                wrench.send(b"30 Nm\n")
                guide.wait_for(r"keep it\? y/n > ")
                wrench.send(b"12.2 Nm\n")
                guide.wait_for(r"waits for your answer")
                guide.type(answer)
                guide.wait_for(r"not recorded: '12.2 Nm' [^>]*" + why)
                self.assertEqual([r["bolt"] for r in self.readings()], ["1"])
                guide.kill()
                wrench.pull_out()

    # --- cables

    def test_a_cable_that_is_pulled_out_and_plugged_in_again(self):
        self.begin()
        wrench = Serial(self.folder / "tty")
        guide = self.on_terminal("--wrench", "serial:tty")
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"bolt 1 > ")
        wrench.send(b"12.0 Nm\n12.2 N")
        guide.wait_for(r"recorded 3: bolt 1")
        time.sleep(0.1)
        wrench.pull_out()
        guide.wait_for(r"not recorded: '12.2 N' is not whole")
        guide.wait_for(r"the wrench does not answer")
        guide.type("y")  # the pass goes on by hand
        guide.wait_for(r"type the reading")
        wrench.plug_in()
        guide.wait_for(r"the wrench is back")
        wrench.send(b"12.3 Nm\n")
        guide.wait_for(r"recorded 4: bolt 2")

    def test_a_file_that_grows(self):
        self.begin()
        lines = self.folder / "readings.txt"
        lines.write_text("11.9 Nm\n", encoding="utf-8")  # of an earlier sitting
        guide = self.piped("--wrench", "readings.txt")
        guide.until("due")
        with open(lines, "ab", buffering=0) as wrench:
            wrench.write(b"12.0 N")
            time.sleep(0.2)
            wrench.write(b"m\n")
        self.assertEqual(guide.until("recorded")["value_Nm"], 12.0)
        lines.write_text("12.2 Nm\n", encoding="utf-8")  # begun anew, and shorter
        lines.write_text("12.2 Nm\n", encoding="utf-8")
        self.assertEqual(len(self.readings()), 1)
        guide.end()

    def test_a_keyboard_wrench_on_standard_input(self):
        self.begin()
        guide = self.piped("--wrench", "-")
        for line, event in (("12.0 Nm", "recorded"), ("n a note", "recorded"), ("nonsense", "unread"), ("12.2 Nm", "recorded"), ("20°", "recorded"), ("25°", "recorded"), ("q", "stopped")):
            guide.type(line)
            got = guide.until(event)
        self.assertEqual(got["reason"], "left")
        self.assertEqual(guide.end(), 0)
        self.assertEqual([r.get("value_deg") for r in self.readings()][2:], [20.0, 45.0])

    def test_lines_end_in_any_of_the_three_ways_and_the_last_may_not_end(self):
        self.begin()
        done = self.run_program("guide", "b.book", "--json", "--wrench", "-", input="12.0 Nm\r12.1 Nm\r\n45 deg\n46 deg")
        self.assertEqual(done.returncode, 0, done.stdout)
        self.assertEqual([r["given"] for r in self.readings()], ["12 N·m", "12.1 N·m", "45°", "46°"])

    def test_sources_that_are_none_are_refused(self):
        self.begin()
        for source, status, slug in (("missing", 3, "unreadable-file"), (".", 3, "unreadable-file"), ("serial:missing", 3, "unreadable-file"), ("serial:b.book", 3, "unreadable-file"),
                                     ("serial:tty,9601", 2, "bad-option"), ("serial:tty,9600,7E1", 2, "bad-option"), ("serial:", 2, "bad-option"), ("", 2, "bad-option")):
            done = self.run_program("guide", "b.book", "--json", f"--wrench={source}", input="")
            self.assertEqual((source, done.returncode), (source, status))
            self.assertEqual(json.loads(done.stderr)["errors"][0]["slug"], slug)
        self.assertEqual(self.readings(), [])


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0], *sys.argv[3:]], verbosity=1)
