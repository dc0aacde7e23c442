"""The guide at a real terminal: whole passes by keyboard, questions, Ctrl-C, narrow and plain terminals, a kill.

usage: guide.py PROGRAM SCHEDULES
"""
import json
import pathlib
import re
import shutil
import signal
import subprocess
import sys
import time
import unittest

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
from crash_lab import environment
from terminal import Terminal
from workshop import WorkshopCase

PROGRAM = sys.argv[1]
SCHEDULES = pathlib.Path(sys.argv[2])
TOOLS = """\
format: tool list 1
title: Two wrenches
notice: Invented data for practice. Never use on a real machine.
torque_wrenches:
  newton: {range: 5..60 N·m, accuracy: 2 %, indicates: value, unit: N·m}
  foot: {range: 4..50 ft·lbf, accuracy: 2 %, indicates: value, unit: ft·lbf}
"""
SMALL = """\
format: fastener schedule 1
title: Practice cover
notice: Invented data for practice. Never use on a real machine.
fasteners: {cover-bolt: {thread: M8, strength: "8.8"}}
bolts: [{id: 1, at: [0 mm, 0 mm]}, {id: 2, at: [60 mm, 0 mm]}]
order: listed
stages:
  - {do: "Wipe both faces"}
  - {torque: 12 N·m}
  - {angle: 45°, final_torque: 14..30 N·m}
"""


class GuideCase(WorkshopCase):
    program = PROGRAM
    files = {"small.yaml": SMALL}

    def begin(self, schedule="small.yaml"):
        super().begin(schedule)

    def guide(self, *words, columns=80, **env):
        terminal = Terminal([PROGRAM, "guide", "b.book", *words], self.folder, columns=columns, **env)
        self.addCleanup(terminal.kill)
        return terminal

    def test_what_comes_after_the_last_final_torque_was_due_ends_the_guide(self):
        """An angle there left no step to go on from: the guide ended with a signal."""
        self.begin()
        for words in (["--tick"], ["1", "12Nm"], ["2", "12Nm"], ["1", "45deg", "--also", "20Nm"]):
            self.assertEqual(self.run_program("log", "b.book", *words).returncode, 0)
        guide = self.guide()
        for prompt, answer in ((r"right\? y > ", "y"), (r"bolt 2 > ", "45"), (r"final torque\? \(y: not read\) > ", "61")):
            guide.wait_for(prompt)
            guide.type(answer)
        guide.wait_for(r"not recorded: '61' comes after the last step")
        guide.wait_for(r"Every step has its entry")
        self.assertEqual(guide.end(), 1)
        self.assertEqual([e.get("value_deg") for e in self.entries()][-1], 45.0)

    # --- whole passes

    def test_a_whole_crankcase_pass_takes_one_line_a_step(self):
        self.begin(SCHEDULES / "split-crankcase.yaml")
        plan = json.loads(self.run_program("plan", SCHEDULES / "split-crankcase.yaml", "--json").stdout)
        guide = self.guide()
        lines = 0
        stage = None
        for number, step in enumerate(plan["steps"], start=1):
            if step["bolt"] and step["stage"] != stage:
                guide.wait_for(r"right\? y > ")
                guide.type("y")
            stage = step["stage"]
            guide.wait_for(rf"step {number} of {len(plan['steps'])}: ")
            guide.wait_for(r"> ")
            tenth = number % 5 / 10  # never the same value twice in a row
            value = {"snug": f"{8 + tenth} N·m", "torque": f"{30 + tenth} Nm", "angle": f"{60 + tenth}", "do": "y", "count": "4", "measure": "1.8 N·m"}[step["kind"]]
            guide.type(value)
            guide.wait_for(r"recorded \d+: ")
            lines += 1
            if step["kind"] == "angle" and step.get("final_torque"):
                guide.type("y")
        guide.wait_for(r"Every step has its entry")
        self.assertEqual(guide.end(), 0)
        self.assertTrue(self.check()["complete"])
        self.assertEqual(lines, len(plan["steps"]))

    def test_the_final_torque_is_asked_for_and_stands_in_one_line_with_the_angle(self):
        self.begin()
        guide = self.guide()
        for wait, line in ((r"step 1 of 5", "y"), (r"right\? y > ", "y"), (r"bolt 1 > ", "12 Nm"), (r"bolt 2 > ", "12.1 Nm"),
                           (r"right\? y > ", "y"), (r"bolt 1 > ", "45"), (r"final torque\? \(y: not read\) > ", "20.5 Nm"),
                           (r"bolt 2 > ", "45.5 21 Nm")):
            guide.wait_for(wait)
            guide.type(line)
        guide.wait_for("Every step has its entry, and no fault is open")
        self.assertEqual(guide.end(), 0)
        self.assertEqual([(e.get("value_deg"), e.get("also_Nm")) for e in self.entries()[3:]], [(45.0, None), (45.0, 20.5), (45.5, 21.0)])

    # --- questions

    def to_the_first_bolt(self, guide):
        guide.wait_for(r"step 1 of 5")
        guide.type("y")
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"bolt 1 > ")

    def test_a_reading_outside_is_on_disk_before_it_is_asked_about(self):
        self.begin()
        guide = self.guide()
        self.to_the_first_bolt(guide)
        guide.type("30 Nm")
        guide.wait_for(r"\a\a\a")
        guide.wait_for(r"keep it\? y/n > ")
        self.assertEqual(self.entries()[-1]["value_Nm"], 30.0)
        guide.type("n")
        guide.wait_for(r"line 4 does not count")
        guide.wait_for(r"bolt 1 > ")  # its step is open again
        self.assertEqual(self.entries()[-1]["kind"], "void")
        guide.type("30.5 Nm")
        guide.wait_for(r"keep it\? y/n > ")
        guide.type("y")
        guide.wait_for(r"bolt 2 > ")

    def test_a_second_reading_on_a_done_bolt_is_asked_about(self):
        self.begin()
        guide = self.guide()
        self.to_the_first_bolt(guide)
        guide.type("12 Nm")
        guide.wait_for(r"bolt 2 > ")
        guide.type("12.2 Nm")
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"bolt 1 > ")
        for bolt in ("1", "2"):
            guide.type(f"b {bolt}")
            guide.wait_for(rf"bolt {bolt} > ")
            guide.type("45 20 Nm" if bolt == "1" else "46 20 Nm")
            guide.wait_for(r"recorded")
        guide.wait_for("Every step")
        guide.end()

    def log(self, *calls):
        for words in calls:
            done = self.run_program("log", "b.book", *words)
            self.assertIn(done.returncode, (0, 1), done.stderr)

    def test_a_bolt_that_has_its_reading_is_not_brought_to_the_next_stage(self):
        """`b 1` in the torque stage led to bolt 1's angle before bolt 2 had its torque."""
        self.begin()
        self.log(["--tick"], ["1", "12Nm"])
        guide = self.guide()
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"bolt 2 > ")
        guide.type("b 1")
        guide.wait_for(r"bolt 1 has its entry at step 2: line 4; stage 3 comes for all bolts together")
        guide.wait_for(r"step 2 of 5")
        guide.wait_for(r"bolt 1 > ")
        guide.type("s")
        guide.wait_for(r"step 3 of 5")
        self.assertEqual(len(self.entries()), 2)
        guide.wait_for(r"bolt 2 > ")
        guide.type("12.1 Nm")
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"step 4 of 5: bolt 1")  # it was not put off

    def test_a_bolt_that_was_kept_below_its_window_is_pulled_on(self):
        self.begin()
        self.log(["--tick"], ["1", "10Nm"])
        guide = self.guide()
        guide.wait_for(r"Still open:\s+fault: stage 2 \(torque 12 N·m\), bolt 1: 10 N·m is below")
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"bolt 2 > ")
        guide.type("b 1")
        guide.wait_for(r"2 N·m to go")
        guide.wait_for(r"another stroke")
        guide.type("12.1 Nm")
        guide.wait_for(r"recorded 5: bolt 1, step 2")
        guide.wait_for(r"bolt 2 > ")
        self.assertEqual(self.entries()[-1]["corrects"], 4)

    def test_what_was_put_off_waits_with_all_its_stages_and_is_named(self):
        """Past a bolt that was put off, its angle came before its torque."""
        self.begin()
        self.log(["--tick"])
        guide = self.guide()
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"bolt 1 > ")
        guide.type("s")
        guide.wait_for(r"bolt 2 > ")
        guide.type("12 Nm")
        guide.wait_for(r"Still open:\s+step 2, tighten bolt 1 [^>]*b 1 goes back to\s+it\s+Stage 3")
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"step 5 of 5: bolt 2")
        guide.type("45 20 Nm")
        guide.wait_for(r"step 2 of 5: bolt 1")
        guide.type("12.2 Nm")
        guide.wait_for(r"step 4 of 5: bolt 1")
        guide.type("46 20 Nm")
        guide.wait_for(r"Every step has its entry")
        self.assertEqual(guide.end(), 1)  # late, and told so
        self.assertEqual([f["slug"] for f in self.check()["findings"]], ["out-of-order"] * 2)

    def test_a_bolt_in_doubt_is_left_alone_until_it_is_settled(self):
        self.begin()
        self.log(["--tick"], ["1", "12Nm"], ["2", "12Nm"])
        self.assertIn(self.run_program("amend", "b.book", "--unsure", "1").returncode, (0, 1))
        guide = self.guide()
        guide.wait_for(r"Still open:\s+fault: .*bolt 1: in doubt since line 6")
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"step 5 of 5: bolt 2")
        guide.type("45 20 Nm")
        guide.wait_for(r"bolt 1: in doubt since line 6[^>]*turn no further")
        guide.wait_for(r"step 4 of 5: bolt 1")

    def test_faults_that_were_kept_are_said_before_the_next_stage(self):
        self.begin()
        guide = self.guide()
        self.to_the_first_bolt(guide)
        guide.type("30 Nm")
        guide.wait_for(r"keep it\? y/n > ")
        guide.type("y")
        guide.wait_for(r"bolt 2 > ")
        guide.type("12 Nm")
        guide.wait_for(r"Still open:\s+fault: stage 2 \(torque 12 N·m\), bolt 1: 30 N·m is above")
        guide.wait_for(r"Stage 3: angle")

    def test_what_was_written_elsewhere_meanwhile_is_noticed(self):
        """The reading went to a bolt that another terminal had just taken out."""
        self.begin()
        self.log(["--tick"], ["1", "12Nm"], ["2", "12Nm"])
        guide = self.guide()
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"step 4 of 5: bolt 1")
        self.assertEqual(self.run_program("amend", "b.book", "--removed", "1").returncode, 1)  # steps are passed over
        guide.type("45 20 Nm")
        guide.wait_for(r"not recorded: '45 20 Nm' was sent when the book had been written to\s+elsewhere")
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"step 2 of 5: bolt 1")
        guide.type("12.1 Nm")
        guide.wait_for(r"step 4 of 5: bolt 1")
        guide.wait_for(r"bolt 1 > ")
        self.assertEqual(self.run_program("amend", "b.book", "--abandon").returncode, 0)
        guide.type("45 20 Nm")
        guide.wait_for(r"the guide ends")
        self.assertEqual(guide.end(), 0)
        self.assertEqual(self.entries()[-1]["kind"], "abandoned")

    def to_the_angles(self, *before):
        self.begin()
        self.log(["--tick"], ["1", "12Nm"], ["2", "12Nm"], *before)
        guide = self.guide()
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        return guide

    def test_a_bolt_that_fell_short_is_pulled_on_before_its_next_stage(self):
        """Before the angle stage `b 1` led to the angle, though the screen had just named the low torque."""
        self.begin()
        self.log(["--tick"], ["1", "10Nm"], ["2", "12Nm"])
        guide = self.guide()
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"step 4 of 5: bolt 1")
        guide.type("b 1")
        guide.wait_for(r"right\? y > ")  # of the torque stage
        guide.type("y")
        guide.wait_for(r"2 N·m to go")
        guide.type("12.1 Nm")
        guide.wait_for(r"recorded 6: bolt 1, step 2")
        guide.wait_for(r"step 4 of 5: bolt 1")

    def test_a_slipped_unit_is_no_stroke(self):
        """The next pull took the place of the slipped line, and with it went the fault."""
        self.begin()
        self.log(["--tick"], ["1", "8.85Nm"])
        guide = self.guide()
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"bolt 2 > ")
        guide.type("b 1")
        guide.wait_for(r"bolt 1 has its entry at step 2: line 4[^>]*second one")
        guide.wait_for(r"bolt 1 > ")

    def test_a_stroke_taken_back_leaves_the_one_before_it(self):
        """The bolt had been turned by 20°, and was to be turned by 45° more."""
        guide = self.to_the_angles()
        guide.wait_for(r"bolt 1 > ")
        guide.type("20")
        guide.wait_for(r"25° to go")
        guide.type("5")
        guide.wait_for(r"20° to go")
        guide.wait_for(r"y/n > ")
        guide.type("u")
        guide.wait_for(r"line 6 stands again")
        guide.wait_for(r"25° to go")
        guide.wait_for(r"y/n > ")
        guide.type("n")
        guide.wait_for(r"line 8 does not count")
        guide.wait_for(r"step 4 of 5: bolt 1")

    def test_a_doubt_is_taken_back_by_undo_and_a_note_is_not(self):
        """`u` behind `d` voided the good reading of another bolt."""
        guide = self.to_the_angles()
        guide.wait_for(r"bolt 1 > ")
        guide.type("d")
        guide.wait_for(r"bolt 2 > ")
        guide.type("n tea")
        guide.wait_for(r"recorded 7: a note")
        guide.wait_for(r"bolt 2 > ")
        guide.type("u")
        guide.wait_for(r"a note stays as it is")
        guide.wait_for(r"bolt 2 > ")
        guide.type("u")
        guide.wait_for(r"bolt 1 is no longer in doubt")
        guide.wait_for(r"bolt 1 > ")
        self.assertEqual(self.entries()[-1]["voids"], 6)

    def test_two_bolts_in_doubt_and_one_put_off(self):
        """With two bolts in doubt `s` showed the first of them for ever."""
        guide = self.to_the_angles()
        for bolt in ("1", "2"):
            guide.wait_for(rf"bolt {bolt} > ")
            guide.type("d")
        guide.wait_for(r"step 4 of 5: bolt 1")
        guide.wait_for(r"bolt 1 > ")
        guide.type("s")
        guide.wait_for(r"step 5 of 5: bolt 2")
        guide.wait_for(r"bolt 2 > ")
        guide.type("s")
        guide.wait_for(r"step 4 of 5: bolt 1")

    def test_a_doubt_from_elsewhere_stops_the_turn(self):
        """The reading settled a doubt that nobody at this terminal had seen."""
        guide = self.to_the_angles()
        guide.wait_for(r"bolt 1 > ")
        self.assertEqual(self.run_program("amend", "b.book", "--unsure", "1").returncode, 1)
        guide.type("45 20 Nm")
        guide.wait_for(r"not recorded: '45 20 Nm' was sent when the book had been written to\s+elsewhere")
        guide.wait_for(r"step 5 of 5: bolt 2")

    def test_in_groups_a_bolt_that_was_put_off_comes_before_its_last_entry(self):
        """`b 1` led to the stage that bolt 1 had done, and its reading was filed there once more."""
        (self.folder / "groups.yaml").write_text(SMALL.replace("{id: 1, at", "{id: 1, group: a, at").replace("{id: 2, at", "{id: 2, group: b, at")
                                                 .replace("order: listed", "order: listed\nby: group"), encoding="utf-8")
        self.begin("groups.yaml")
        self.log(["--tick"], ["1", "12Nm"])
        guide = self.guide()
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"step 3 of 5: bolt 1, angle")
        guide.wait_for(r"bolt 1 > ")
        guide.type("s")
        guide.wait_for(r"Still open:\s+step 3, turn bolt 1")
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"step 4 of 5: bolt 2, torque")
        guide.wait_for(r"bolt 2 > ")
        guide.type("b 1")
        guide.wait_for(r"step 3 of 5: bolt 1, angle")

    def test_a_final_torque_that_was_left_out_can_still_be_read(self):
        """Whoever left at the question was never asked again, and the torque alone was refused."""
        guide = self.to_the_angles()
        guide.wait_for(r"bolt 1 > ")
        guide.type("45")
        guide.wait_for(r"final torque\? \(y: not read\) > ")
        guide.type("q")
        guide.end()
        guide = self.guide()
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"bolt 2 > ")
        guide.type("b 1")
        guide.wait_for(r"bolt 1 has its angle at step 4: line 6")
        guide.wait_for(r"final torque\? \(y: not read\) > ")
        guide.type("20 Nm")
        guide.wait_for(r"recorded 7: bolt 1, step 4")
        guide.wait_for(r"bolt 2 > ")
        self.assertEqual((self.entries()[-1]["also_Nm"], self.entries()[-1]["corrects"]), (20.0, 6))

    def test_a_line_that_stands_again_is_what_it_was(self):
        """It was filed anew in the unit of the wrench in hand: 10 N·m stood again as 13.6, and 12 without a turn as 12."""
        (self.folder / "tools.yaml").write_text(TOOLS, encoding="utf-8")
        super().begin("small.yaml", "--tools", "tools.yaml")
        self.log(["--tick"], ["1", "10", "--tool", "newton"])
        guide = self.guide("--tool", "foot")
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"bolt 2 > ")
        guide.type("b 1")
        guide.wait_for(r"another stroke")
        guide.type("8")
        guide.wait_for(r"recorded 5: bolt 1")
        guide.wait_for(r"y/n > ")
        guide.type("u")
        guide.wait_for(r"line 4 stands again")
        guide.wait_for(r"another stroke")
        again = self.entries()[-1]
        self.assertEqual((again["value_Nm"], again["tool"], again["corrects"], again["restores"]), (10.0, "newton", 5, 4))
        guide.type("8.2")
        guide.wait_for(r"recorded 7: bolt 1")
        guide.wait_for(r"y/n > ")
        guide.type("u")
        guide.wait_for(r"line 4 stands again")  # not the one that was taken back
        guide.wait_for(r"another stroke")
        guide.type("u")
        guide.wait_for(r"line 8 does not count")

    def test_no_leaves_a_line_of_before_as_it_is(self):
        """`n` at a stroke of an earlier sitting voided it."""
        self.begin()
        self.log(["--tick"], ["1", "10Nm"])
        guide = self.guide()
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"bolt 2 > ")
        guide.type("b 1")
        guide.wait_for(r"another stroke")
        guide.type("n")
        guide.wait_for(r"line 4 stays as it is")
        guide.wait_for(r"bolt 2 > ")
        self.assertEqual(len(self.entries()), 2)

    def test_a_final_torque_of_a_bolt_that_was_replaced_meanwhile_is_refused(self):
        """The old bolt's angle was filed at the new one, with the torque that came late."""
        guide = self.to_the_angles()
        guide.wait_for(r"bolt 1 > ")
        guide.type("45")
        guide.wait_for(r"final torque\? \(y: not read\) > ")
        guide.type("y")
        guide.wait_for(r"bolt 2 > ")
        self.assertEqual(self.run_program("amend", "b.book", "--fitted", "1").returncode, 1)
        guide.type("20 Nm")
        guide.wait_for(r"not recorded|error: ")
        self.assertEqual([e["kind"] for e in self.entries()][-1], "fitted")

    def test_keys_behind_the_last_step_are_told(self):
        """A doubt and a note that were sent ahead went without a word."""
        self.begin()
        self.log(["--tick"], ["1", "12Nm"], ["2", "12Nm"], ["1", "45deg", "--also", "20Nm"])
        done = self.run_program("guide", "b.book", "--json", input="46 21 Nm\nd 1\nn washer missing\nq\n")
        events = [json.loads(line) for line in done.stdout.splitlines()]
        self.assertEqual([e["given"] for e in events if e["event"] == "unread"], ["d 1", "n washer missing"])

    def test_the_same_value_within_two_seconds_is_held(self):
        self.begin()
        guide = self.guide()
        self.to_the_first_bolt(guide)
        guide.type("12 Nm")
        guide.wait_for(r"bolt 2 > ")
        guide.type("12 Nm")
        guide.wait_for(r"a second reading\? y/n > ")
        count = len(self.entries())
        guide.type("n")
        guide.wait_for(r"not recorded")
        guide.wait_for(r"bolt 2 > ")
        self.assertEqual(len(self.entries()), count)
        time.sleep(2.1)
        guide.type("12 Nm")
        guide.wait_for(r"recorded \d+: bolt 2")

    def test_strokes_go_on_until_the_window_is_reached(self):
        self.begin()
        guide = self.guide()
        self.to_the_first_bolt(guide)
        guide.type("12 Nm")
        guide.wait_for(r"bolt 2 > ")
        guide.type("12.1 Nm")
        guide.wait_for(r"right\? y > ")
        guide.type("y")
        guide.wait_for(r"bolt 1 > ")
        guide.type("20")
        guide.wait_for(r"25° to go")
        guide.wait_for(r"another stroke")
        self.assertEqual(self.entries()[-1]["value_deg"], 20.0)
        guide.type("24.5")
        guide.wait_for(r"recorded \d+: bolt 1, step 4")
        self.assertAlmostEqual(self.entries()[-1]["value_deg"], 44.5)

    def test_strokes_that_were_joined_go_on_too(self):
        """A sum was followed by its next stroke as by a second reading: filed beside it, and called doubled."""
        for first, then in (("20+10", "15"), ("30", "10+5"), ("20+10deg", "10+5deg")):
            with self.subTest(first=first, then=then):
                (self.folder / "b.book").unlink(missing_ok=True)
                self.begin()
                for words in (["--tick"], ["1", "12Nm"], ["2", "12Nm"]):
                    self.assertEqual(self.run_program("log", "b.book", *words).returncode, 0)
                guide = self.guide()
                guide.wait_for(r"right\? y > ")
                guide.type("y")
                guide.wait_for(r"bolt 1 > ")
                guide.type(first)
                guide.wait_for(r"15° to go")
                guide.wait_for(r"another stroke")
                guide.type(then)
                guide.wait_for(r"final torque\?")
                self.assertAlmostEqual(self.entries()[-1]["value_deg"], 45)
                self.assertNotIn("doubled", [f["slug"] for f in self.check()["findings"]])
                guide.kill()

    def test_undo_doubt_note_skip_and_help(self):
        self.begin()
        guide = self.guide()
        self.to_the_first_bolt(guide)
        guide.type("12 Nm")
        guide.wait_for(r"bolt 2 > ")
        guide.type("u read on the wrong bolt")
        guide.wait_for(r"line 4 does not count")
        guide.wait_for(r"bolt 1 > ")
        guide.type("s")
        guide.wait_for(r"bolt 2 > ")
        guide.type("n the phone rang")
        guide.wait_for(r"recorded \d+: a note")
        guide.type("d")
        guide.wait_for(r"bolt 2 is in doubt")
        guide.wait_for(r"turn no further")
        guide.type("?")
        guide.wait_for(r"b BOLT +go to that bolt")
        guide.type("q")
        guide.wait_for(r"the pass stays open")
        self.assertEqual(guide.end(), 0)
        self.assertEqual([e["kind"] for e in self.entries()], ["tick", "reading", "void", "note", "unsure"])
        self.assertEqual(self.entries()[2]["because"], "read on the wrong bolt")

    def test_what_is_mistyped_is_shown_with_its_place_and_not_recorded(self):
        self.begin()
        guide = self.guide()
        self.to_the_first_bolt(guide)
        count = len(self.entries())
        for line, says in (("12", "has no unit"), ("12,5 Nm", "decimal comma"), ("45°", "wants a torque"), ("twelve", "no number|is not|number"), ("b 9", "bolt|'9'")):
            guide.type(line)
            guide.wait_for(says)
        self.assertEqual(len(self.entries()), count)

    # --- interruptions

    def test_ctrl_c_at_every_prompt_leaves_a_sound_book(self):
        prompts = [[], [("step 1 of 5", "y")], [("step 1 of 5", "y"), (r"right\? y > ", "y")],
                   [("step 1 of 5", "y"), (r"right\? y > ", "y"), ("bolt 1 > ", "30 Nm"), (r"keep it\?", None)],
                   [("step 1 of 5", "y"), (r"right\? y > ", "y"), ("bolt 1 > ", "2 Nm"), (r"another stroke", None)],
                   [("step 1 of 5", "y"), (r"right\? y > ", "y"), ("bolt 1 > ", "12 Nm"), ("bolt 2 > ", "12 Nm"), (r"a second reading\?", None)]]
        for walk in prompts:
            with self.subTest(walk=walk):
                (self.folder / "b.book").unlink(missing_ok=True)
                self.begin()
                guide = self.guide()
                for wait, line in walk:
                    guide.wait_for(wait)
                    if line is not None:
                        guide.type(line)
                guide.wait_for(r"> ")
                time.sleep(0.05)
                guide.send(b"\x03")
                guide.wait_for("interrupted: the pass stays open")
                self.assertEqual(guide.end(), 130)
                self.assertNotIn("altered-record", json.dumps(self.check()))

    def test_after_a_kill_it_says_what_was_last_and_goes_on_at_the_right_step(self):
        self.begin()
        guide = self.guide()
        self.to_the_first_bolt(guide)
        guide.type("12 Nm")
        guide.wait_for(r"recorded 4: ")
        guide.kill()
        self.assertEqual(guide.status, -signal.SIGKILL)
        again = self.guide()
        again.wait_for(r"Last recorded: line 4, stage 2 \(torque\), bolt 1: 12 N·m")
        again.wait_for(r"look at the marks on bolt 2, which is due, and on bolt\s+1")
        again.wait_for(r"right\? y > ")
        again.type("y")
        again.wait_for(r"step 3 of 5: bolt 2")
        again.send(b"\x04")
        again.wait_for("end of input")
        self.assertEqual(again.end(), 0)

    # --- terminals

    def shown(self, **env):
        (self.folder / "b.book").unlink(missing_ok=True)
        self.begin()
        guide = self.guide("--big", **env)
        self.to_the_first_bolt(guide)
        guide.type("30 Nm")
        guide.wait_for(r"keep it\? y/n > ")
        guide.type("y")
        guide.wait_for("bolt 2 > ")
        guide.type("q")
        guide.end()
        return guide

    def test_nothing_moves_the_cursor(self):
        guide = self.shown()
        text = guide.seen.replace(b"\r\n", b"\n")
        self.assertEqual(re.findall(rb"[\x00-\x06\x08\x0b-\x1f\x7f]", text), [])

    def test_forty_columns_hold_every_line(self):
        guide = self.shown(columns=40)
        wide = [line for line in guide.text.split("\n") if len(line.replace("\a", "")) > 40]
        self.assertEqual(wide, [])

    def test_a_terminal_without_utf_8_gets_ascii(self):
        guide = self.shown(LC_ALL="C")
        self.assertEqual(re.findall(rb"[\x80-\xff]", guide.seen), [])
        self.assertIn("> due   = done   ! look at it   o missed", guide.text)
        self.assertNotIn("?due", guide.text)

    def test_no_color_and_dumb_terminals(self):
        for env in ({"NO_COLOR": "1"}, {"TERM": "dumb"}):
            self.assertNotIn(b"\x1b", self.shown(**env).seen)

    def test_a_window_that_is_made_narrow_is_filled_anew(self):
        self.begin()
        guide = self.guide()
        guide.wait_for(r"\(y\) > ")
        before = len(guide.seen)
        guide.resize(40)
        guide.type("y")
        guide.wait_for(r"right\? y > ")
        lines = guide.seen[before:].decode().replace("\r\n", "\n").split("\n")
        self.assertEqual([line for line in lines if len(line) > 60], [])  # the question itself is one line
        self.assertTrue(any(len(line) > 30 for line in lines))

    def test_it_is_legible_in_tmux(self):
        if shutil.which("tmux") is None:
            self.fail("tmux is missing: .ci/setup installs it")
        self.begin()
        socket = self.folder / "tmux"
        tmux = lambda *words: subprocess.run(["tmux", "-S", str(socket), "-f", "/dev/null", *words], env=environment() | {"TERM": "xterm"}, capture_output=True, text=True, timeout=20, check=False)
        started = tmux("-u", "new-session", "-d", "-x", "80", "-y", "40", "-c", str(self.folder), f"{PROGRAM} guide b.book --big")
        self.assertEqual(started.returncode, 0, started.stderr)
        self.addCleanup(tmux, "kill-server")

        def until(text):
            end = time.monotonic() + 20
            while time.monotonic() < end:
                screen = tmux("capture-pane", "-p").stdout
                if text in screen:
                    return screen
                time.sleep(0.05)
            self.fail(f"no {text!r} in {screen}")

        until("(y) >")
        tmux("send-keys", "y", "Enter")
        until("right? y >")
        tmux("send-keys", "y", "Enter")
        screen = until("bolt 1 >")
        self.assertIn("▶[1] 1", screen)
        self.assertIn("12 N·m (8.85 ft·lbf), window 11.52..12.48 N·m", screen)
        self.assertIn("  █", screen)
        tmux("send-keys", "12 Nm", "Enter")
        until("bolt 2 >")


if __name__ == "__main__":
    unittest.main(argv=[sys.argv[0], *sys.argv[3:]], verbosity=1)
