"""Every word of every verb, given as nobody would mean it: a clear refusal or a plain answer, never a crash or a wait."""
import json
import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent))
from lab import GOOD, RobustCase, main

VALUES = {
    "empty": "", "blanks": "   ", "tab": "\t", "newline": "a\nb", "control": "\x1b[31mred\x07\x7f", "c1": "a\u009bb", "right-to-left": "a\u202eb",
    "separator": "a\u2028b", "emoji": "🔩", "not UTF-8": b"\xff\xfe\x80".decode("utf-8", "surrogateescape"), "half": b"N\xc2".decode("utf-8", "surrogateescape"),
    "100 kB": "x" * 100_000, "100 kB of digits": "9" * 100_000, "many words": "a " * 20_000, "many commas": "1," * 20_000, "long name": "n" * 300, "long path": "a/" * 3000,
    "20 digits": "12345678901234567890", "1e308": "1e308", "1e309": "1e309", "1e308 N·m": "1e308 N·m", "1e-400": "1e-400mm", "minus": "-5", "minus N·m": "-5 N·m", "minus zero": "-0", "zero": "0",
    "fraction": "1.5", "nan": "nan", "inf": "inf", "hex": "0x1F", "comma": "1,5", "comma N·m": "22,1 N·m", "plus": "+", "range": "2-1", "range of all": "1-99999999999",
    "--": "--", "-": "-", "-h": "-h", "--help": "--help", "--json": "--json", "--nonsense": "--nonsense", "-x.book": "-x.book", "=": "=", "braces": "{}", "list": "[1,2]", "quote": '"', "format": "%s%n{}{0}",
    "folder": "folder", "folder/": "folder/", "file/": "s.yaml/", "/": "/", "/dev/null": "/dev/null", "/dev/full": "/dev/full", "/dev/zero": "/dev/zero", "/dev/stdin": "/dev/stdin",
    "fifo": "fifo", "dangling": "dangling", "loop": "loop", "unreadable": "unreadable", "empty file": "empty", "bytes": "bytes", "book": "b.book", "schedule": "s.yaml", "absent": "absent",
    "year 0": "0000-01-01T00:00:00+23:59", "year 9999": "9999-12-31T23:59:60Z", "30 February": "2026-02-30T00:00:00Z", "dash": "−5 N·m", "wide digits": "１２",
}
# What an option needs beside it, instead of the good call of its verb.
BESIDE = {
    "--fastener": ["trace", "pull.csv", "--schedule", "s.yaml"],
    "--diameter": ["new", "n.yaml", "--circle", "4"],
    "--uses": ["amend", "b.book", "--fitted", "1"],
    "--accept": ["amend", "b.book", "--because", "x"],
    "--tick": ["log", "b.book"], "--count": ["log", "b.book"], "--measure": ["log", "b.book"], "--lines": ["log", "b.book"],
    "--label": ["log", "b.book", "--tick"],
    "--void": ["amend", "b.book"], "--fitted": ["amend", "b.book"], "--removed": ["amend", "b.book"], "--unsure": ["amend", "b.book"],
    "--abandon": ["amend", "b.book"], "--note": ["log", "b.book", "2", "12Nm"], "--also": ["log", "b.book", "1", "45deg"],
    "--samples": ["predict", "s.yaml"],
}


class Arguments(RobustCase):
    def places(self):
        """(the place, the words before the value, the words behind it) of everything that takes a word."""
        for verb, spec in self.verbs.items():
            good = GOOD[verb]
            for number in range(1, len(good) if verb != "amend" else 2):
                if good[number].startswith("-") or good[number - 1].startswith("-"):
                    continue
                yield f"{verb}, word {number}", good[:number], good[number + 1:]
            yield f"{verb}, a word more", good, []
            for option in [*spec["options"], *self.everywhere]:
                if option["value"]:
                    yield f"{verb} {option['name']}", [*self.beside(verb, option["name"]), option["name"]], []
        yield "the verb", [], []
        yield "the verb's place", [], GOOD["check"]
        for option in self.everywhere:
            if option["value"]:
                yield f"{option['name']} before the verb", [option["name"]], GOOD["convert"]

    def beside(self, verb, option):
        words = BESIDE.get(option, GOOD[verb])
        return words if words[0] == verb else GOOD[verb]

    def test_every_place_meets_every_value(self):
        values = list(VALUES.items())
        share = 1 if self.long else 12
        count = 0
        for index, (place, before, behind) in enumerate(self.places()):
            # A share for each place, another one at the next: all values come up at every verb.
            for name, value in values[index % share::share]:
                if self.waits_for_a_writer(before, value) or self.is_split(before, value):
                    continue
                for json_ in ([], ["--json"]) if self.long else ([["--json"] if (count := count + 1) % 2 else []]):
                    with self.subTest(place=place, value=name, json=bool(json_)):
                        self.clampbook(*before, value, *behind, *json_)

    def waits_for_a_writer(self, before, value):
        """A pipe is a stream of rows to these: they wait for who writes into it."""
        return value == "fifo" and before[-1:] in (["trace"], ["pull.csv"], ["--lines"])

    def is_split(self, before, value):
        """Where several words may stand, one in brackets is taken for a list: each of its files is missed."""
        return value == "[1,2]" and before[-1:] in (["trace"], ["pull.csv"])

    def test_a_remark_is_kept_as_it_was_given(self):
        for option in ("--note", "--by", "--because") if self.long else ("--note",):
            for name, value in VALUES.items():
                with self.subTest(option=option, value=name):
                    words = ["amend", "b.book", option, value] + (["--note", "n"] if option != "--note" else [])
                    run = self.clampbook(*words)
                    self.assertEqual(run.status, 0, run)
                    event = json.loads(self.after["b.book"].splitlines()[-1])
                    raw = value.encode("utf-8", "surrogateescape")
                    try:
                        self.assertEqual(event[option[2:]], raw.decode("utf-8"), run)
                    except UnicodeDecodeError:
                        self.assertIn("\ufffd", event[option[2:]], run)

    def test_an_option_twice_or_without_its_value(self):
        for verb, spec in self.verbs.items():
            for option in [*spec["options"], *self.everywhere]:
                if not option["value"]:
                    words = [*GOOD[verb], f"{option['name']}=x"] if option["name"].startswith("--") else None
                    cases = [words] if words else []
                else:
                    words = [*self.beside(verb, option["name"]), option["name"]]
                    cases = [words, [*words, "1", *words[-1:], "2"]]
                for words in cases:
                    with self.subTest(words=words):
                        run = self.clampbook(*words)
                        self.assertEqual((run.status, b"[bad-option]" in run.err), (2, True), run)

    def test_a_key_that_a_book_cannot_hold_is_refused(self):
        # It was recorded as U+FFFD: the same call again recorded it twice.
        for verb in ("begin", "log", "amend"):
            run = self.clampbook(*GOOD[verb], "--key", VALUES["not UTF-8"])
            self.assertEqual((run.status, b"[bad-option]" in run.err), (2, True), run)

    def test_two_outputs_do_not_share_a_name(self):
        run = self.clampbook("plan", "s.yaml", "--sheet", "out", "--svg", "out")
        self.assertEqual((run.status, "out" in self.after), (2, False), run)

    def test_help_comes_by_every_name_that_people_try(self):
        """`-h` was no option and `help` no verb."""
        for verb in self.verbs:
            asked = self.clampbook(verb, "--help")
            self.assertEqual(asked.status, 0)
            for words in ((verb, "-h"), ("help", verb), ("-h", verb)):
                self.assertEqual(self.clampbook(*words).out, asked.out, words)
        asked = self.clampbook("--help")
        for words in (("-h",), ("help",), ("--ascii", "help")):
            self.assertEqual(self.clampbook(*words).out, asked.out, words)

    def test_a_book_is_no_wrench(self):
        for name in ("b.book", "./b.book", "folder/../b.book"):
            run = self.clampbook("guide", "b.book", "--wrench", name)
            self.assertEqual((run.status, b"[bad-option]" in run.err), (2, True), run)

    def test_the_word_for_machines_may_be_a_value(self):
        run = self.clampbook("amend", "b.book", "--note", "--json")
        self.assertTrue(run.out.startswith(b"recorded "), run)


main()
