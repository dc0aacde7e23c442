"""Every output from which somebody can take a figure to a bolt says the standing cautions.

usage: cautions.py PROGRAM MANUAL SOURCE_DIR. The words are those of lib/clampbook/text/cautions.h and stand nowhere else
in the library or the program. OUTPUTS is the list; an option that writes a file and is not in it fails the test.
"""
import html
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import unittest

PROGRAM, MANUAL, SOURCE = (os.path.abspath(sys.argv.pop(1)) for _ in range(3))
SOURCE = pathlib.Path(SOURCE)
sys.path.insert(0, str(SOURCE / "tests/manuals"))
from tables import read_tables  # noqa: E402

TABLE = SOURCE / "lib/clampbook/text/cautions.h"
FIGURE = re.compile(r"\d ?(N·m|Nm|ft·lbf|ft-lb|kN)")
SPLIT, HOUSING = "schedules/split-crankcase.yaml", "schedules/bearing-housing.yaml"
BUILD, PULL = "schedules/compressor-build.yaml", "schedules/pull.csv"

# (what is run, where the cautions have to be: "out", "err", or the file that it writes; a folder: in each of its files)
OUTPUTS = [
    ("plan {SPLIT}", "out"),
    ("plan {SPLIT} --only 1,2 --units imperial --ascii", "out"),
    ("plan {BUILD}", "out"),
    ("plan {SPLIT} --csv", "err"),
    ("plan {SPLIT} --csv --quiet", "err"),
    ("plan {SPLIT} --sheet sheet.html", "sheet.html"),
    ("plan {BUILD} --sheet build.html", "build.html"),
    ("plan {SPLIT} --svg bolts.svg", "bolts.svg"),
    ("predict {SPLIT}", "out"),
    ("predict {SPLIT} --quiet", "out"),
    ("predict {SPLIT} --rounds", "out"),
    ("predict {SPLIT} --svg prediction.svg", "prediction.svg"),
    ("bolt M10 10.9", "out"),
    ("trace {PULL}", "out"),
    ("trace {PULL} --quiet", "err"),
    ("trace {PULL} --svg pull.svg", "pull.svg"),
    ("new starter.yaml", "starter.yaml"),
    ("new inches.yaml --units imperial --ascii", "inches.yaml"),
    ("begin housing.book {HOUSING} --only housing", "out"),
    ("begin quiet.book {HOUSING} --quiet", "err"),
    ("guide housing.book", "out"),
    ("check housing.book", "out"),
    ("check housing.book --so-far --quiet", "out"),
    ("report housing.book", "out"),
    ("report housing.book -o record.txt", "record.txt"),
    ("report housing.book -o record.html", "record.html"),
    ("report housing.book --public -o public.html", "public.html"),
    ("report housing.book --svg drawings", "drawings"),
    ("--help", "out"),
]


def plain(text):
    """One line of words: no tags, no marks of lists, comments or quotations."""
    text = html.unescape(re.sub(r"<[^>]*>", " ", text))
    text = re.sub(r"(?m)^\s*(!|#|//+|>|-)\s", " ", text)
    return " ".join(text.replace("\n! ", "\n").replace(" ! ", " ").split())


def words_of(name):
    table = TABLE.read_text(encoding="utf-8")
    found = re.search(rf"\b{name}\b.*?;\n", table, re.S)[0]
    pieces = [re.findall(r'"([^"]*)"', part) for part in found.split(",\n")] if name == "kStandingCautions" else [re.findall(r'"([^"]*)"', found)]
    return ["".join(p) for p in pieces if p]


STANDING = words_of("kStandingCautions")


class Cautions(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        holder = tempfile.TemporaryDirectory(prefix="clampbook-cautions-")
        cls.addClassCleanup(holder.cleanup)
        cls.folder = pathlib.Path(holder.name)
        (cls.folder / "schedules").symlink_to(SOURCE / "schedules")
        cls.said = {}
        for line, _ in OUTPUTS:
            cls.said[line] = cls.run_line(line)
            if line.startswith("begin housing.book"):  # so that every drawing of a record has something to show
                for words in (["--tick"], *([str(b), "20Nm"] for b in (1, 3, 4, 2)), *(["--tick"] for _ in range(4)),
                              *([str(b), "30deg", "--also", "50Nm"] for b in (1, 3, 4, 2))):
                    subprocess.run([PROGRAM, "log", "housing.book", *words], cwd=cls.folder, capture_output=True, timeout=60, check=True)

    @classmethod
    def run_line(cls, line):
        words = line.format(SPLIT=SPLIT, HOUSING=HOUSING, BUILD=BUILD, PULL=PULL).split()
        done = subprocess.run([PROGRAM, *words], cwd=cls.folder, stdin=subprocess.DEVNULL, capture_output=True, text=True,
                              timeout=60, check=False, env={**os.environ, "LC_ALL": "C.UTF-8", "ASAN_OPTIONS": "detect_leaks=0"})
        if done.returncode not in (0, 1):
            raise AssertionError(f"{line}: {done.returncode}\n{done.stdout}{done.stderr}")
        return done.stdout, done.stderr

    def says(self, text, where, cautions=None):
        text = plain(text)
        for caution in STANDING if cautions is None else cautions:
            self.assertIn(caution, text, where)

    def test_the_table_is_read(self):
        self.assertEqual(len(STANDING), 3)
        for name in ("kYieldCaution", "kYieldCautionInShort", "kBlindHoleCaution", "kInWindowCaution"):
            self.assertGreater(len(words_of(name)[0]), 40, name)

    def test_every_output_says_them(self):
        for line, where in OUTPUTS:
            with self.subTest(line):
                out, err = self.said[line]
                if where in ("out", "err"):
                    self.says(out if where == "out" else err, line)
                    continue
                path = self.folder / where
                files = sorted(path.iterdir()) if path.is_dir() else [path]
                for file in files:
                    self.says(file.read_text(encoding="utf-8"), file.name)
                if path.is_dir():
                    self.assertEqual({re.sub(r"\d+", "N", f.name) for f in files},
                                     {"bolts.svg", "stage_N.svg", "torque_angle.svg", "clamp_load.svg"})

    def test_no_verb_writes_a_file_that_is_not_in_the_list(self):
        listed = {(line.split()[0], word) for line, _ in OUTPUTS for word in line.split() if word.startswith("-")}
        for verb, spec in read_tables(MANUAL)[0].items():
            for option in spec["options"]:
                if "OUT" in option["value"] or option["value"] == "DIR" or option["name"] == "-o":
                    self.assertIn((verb, option["name"]), listed)

    def test_a_stage_that_may_yield_and_readings_in_window_have_their_own(self):
        self.says(self.said["plan {SPLIT}"][0], "plan", words_of("kYieldCaution"))
        self.says((self.folder / "sheet.html").read_text(encoding="utf-8"), "sheet", words_of("kYieldCaution"))
        self.says(self.said["plan {SPLIT} --csv"][0], "table", words_of("kYieldCautionInShort"))
        for line in ("check housing.book", "report housing.book"):
            self.says(self.said[line][0], line, words_of("kInWindowCaution"))
        self.says((self.folder / "record.html").read_text(encoding="utf-8"), "page", words_of("kInWindowCaution"))
        self.says(self.said["guide housing.book"][0], "guide", words_of("kBlindHoleCaution"))
        self.says((self.folder / "starter.yaml").read_text(encoding="utf-8"), "starter", words_of("kBlindHoleCaution"))

    def test_the_table_that_is_typed_back_holds_rows_alone(self):
        out, _ = self.said["plan {SPLIT} --csv --quiet"]
        self.assertTrue(out.startswith("bolt,value,"))
        self.assertNotIn("Wear eye protection", out)

    def test_pages_of_docs_that_show_a_figure_say_them(self):
        pages = [p for p in [*SOURCE.glob("docs/*.md"), SOURCE / "README.md"] if FIGURE.search(p.read_text(encoding="utf-8"))]
        self.assertGreater(len(pages), 8)
        for page in [*pages, SOURCE / "docs/man/cautions.scd", *SOURCE.glob("docs/examples/*.cpp")]:
            with self.subTest(page.name):
                self.says(page.read_text(encoding="utf-8"), page.name)

    def test_every_public_header_leads_to_them(self):
        headers = [h for h in SOURCE.glob("lib/clampbook/*/*.h") if h.parent.name != "text"]
        self.assertGreater(len(headers), 80)
        for header in headers:
            head = header.read_text(encoding="utf-8").split("#pragma once")[0]
            self.assertIn("clampbook/text/cautions.h", head, header)

    def test_the_words_stand_in_one_place(self):
        starts = [words[:30] for name in ("kStandingCautions", "kYieldCaution", "kYieldCautionInShort", "kBlindHoleCaution", "kInWindowCaution")
                  for words in words_of(name)]
        for file in [*SOURCE.glob("lib/clampbook/**/*.cpp"), *SOURCE.glob("lib/clampbook/**/*.h"), *SOURCE.glob("cli/*.cpp")]:
            if file == TABLE:
                continue
            text = file.read_text(encoding="utf-8")
            for start in starts:
                self.assertNotIn(start, text, file)


if __name__ == "__main__":
    unittest.main()
