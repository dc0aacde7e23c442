"""Sheets, records and drawings as people meet them: on a telephone, on a screen, on paper, in a screen reader.

usage: pages.py PROGRAM SOURCE_DIR
"""
import csv
import io
import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import unittest
import xml.etree.ElementTree

PROGRAM, SOURCE = sys.argv[1], pathlib.Path(sys.argv[2]).resolve()
sys.path.insert(0, str(SOURCE / "tests/support"))
sys.argv = sys.argv[:1]

import golden  # noqa: E402
from browser import CUT_OFF, FAINT, Browser  # noqa: E402

SCHEDULES = [p for p in sorted((SOURCE / "schedules").glob("*.yaml")) if p.read_text(encoding="utf-8").startswith("format: fastener schedule")]
RIGHT_TO_LEFT = "\u202e\u200f"
NASTY = "<script>alert(1)</script>\"'&amp;</style>]]>" + RIGHT_TO_LEFT + "\U0001F600 "
LONG = NASTY + "x" * 10_000
ID = "=<b>\"'&amp;</b>\U0001F600 1"  # an id has 32 characters at most, none of which reorders others
SVG = "{http://www.w3.org/2000/svg}"


def run(folder, *words, expected=(0, 1)):
    done = subprocess.run([PROGRAM, *words], capture_output=True, cwd=folder, env=golden.environment(), timeout=60)
    assert done.returncode in expected, (words, done.returncode, done.stderr.decode()[:2000])
    return done.stdout.decode("utf-8")


def quoted(text):
    return json.dumps(text, ensure_ascii=False)  # a string of JSON is one of YAML, too


def nasty_schedule():
    """Hostile text in every place for free text, 10 000 characters where nothing forbids them."""
    words, short, name = quoted(LONG), quoted(NASTY), quoted(ID)
    return f"""format: fastener schedule 1
title: {words}
machine: {words}
notice: {words}
view: {words}
sources:
  sheet: {{text: {words}, standing: hearsay}}
fasteners:
  {short}: {{thread: M10x1.5, strength: "10.9", grip: 80 mm, shank: 50 mm, engagement: 20 mm, reuse: never, treated: {words}}}
joint:
  layers: [{{material: grey iron, thickness: 80 mm, outer: 30 mm}}]
  into: {{material: grey iron, thread: tapped}}
bolts:
  - {{id: {name}, at: [0 mm, 0 mm], group: {short}}}
  - {{id: {quoted("W" * 32)}, at: [90 mm, 0 mm], group: {words}}}
  - {{id: 3, at: [180 mm, 0 mm], group: {short}}}
stages:
  - {{do: {words}, name: {short}}}
  - {{count: {words}, expect: 4}}
  - {{torque: 30 N·m, source: sheet, name: {words}}}
  - {{do: {words}, each: [{short}, {words}]}}
  - {{angle: 60°}}
  - {{measure: {words}, below: 2.5 N·m}}
"""


def make_all(folder):
    """name: file, for every kind of page."""
    pages = {}
    for path in SCHEDULES:
        pages[f"sheet {path.stem}"] = folder / f"{path.stem}.html"
        run(folder, "plan", str(path), "--tools", str(SOURCE / "schedules/tools.yaml"), "--sheet", f"{path.stem}.html", "--svg", f"{path.stem}.svg")
        run(folder, "predict", str(path), "--svg", f"{path.stem}-prediction.svg")
    build = SOURCE / "schedules/compressor-build.yaml"
    pages["sheet build"] = folder / "build.html"
    run(folder, "plan", str(build), "--sheet", "build.html")
    session = (SOURCE / "tests/browser/every_finding.session").read_text(encoding="utf-8")
    golden.replay(PROGRAM, golden.parse(session), folder)
    run(folder, "report", "cover.book", "-o", "record.html", "--svg", "drawings")
    run(folder, "report", "cover.book", "-o", "public.html", "--public")
    run(folder, "plan", "cover.yaml", "--sheet", "cover.html")
    run(folder, "begin", "gates.book", str(build), "--operation", "bed")
    run(folder, "report", "gates.book", "-o", "gates.html", "--svg", "gates")
    run(folder, "begin", "only.book", str(SOURCE / "schedules/connecting-rods.yaml"), "--only", "cap 1")
    run(folder, "report", "only.book", "-o", "only.html")
    pages["gates alone"], pages["some bolts"] = folder / "gates.html", folder / "only.html"
    pages["record"], pages["public record"], pages["sheet cover"] = folder / "record.html", folder / "public.html", folder / "cover.html"
    (folder / "nasty.yaml").write_text(nasty_schedule(), encoding="utf-8")
    run(folder, "plan", "nasty.yaml", "--sheet", "nasty.html", "--svg", "nasty.svg")
    run(folder, "predict", "nasty.yaml", "--svg", "nasty-prediction.svg")
    run(folder, "begin", "nasty.book", "nasty.yaml", "--by", LONG)
    run(folder, "log", "nasty.book", "--tick", "--note", LONG, "--by", LONG, "--tool", NASTY, expected=(0, 1, 3))
    run(folder, "log", "nasty.book", "--tick", "--note", LONG, "--by", LONG, expected=(0, 1, 3))
    run(folder, "log", "nasty.book", ID, "25Nm", "--note", "=1+1" + LONG, "--by", "@" + NASTY, "--stage", "3")
    run(folder, "log", "nasty.book", "3", "22.3Nm", "--note", "-2+3", "--by", "+" + NASTY, "--stage", "3")
    run(folder, "amend", "nasty.book", "--unsure", "3", "--because", LONG)
    run(folder, "amend", "nasty.book", "--note", LONG)
    run(folder, "report", "nasty.book", "-o", "nasty-record.html", "--svg", "nasty-drawings")
    pages["nasty sheet"], pages["nasty record"] = folder / "nasty.html", folder / "nasty-record.html"
    return pages


class Pages(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = pathlib.Path(tempfile.mkdtemp())
        cls.pages = make_all(cls.folder)
        cls.browser = Browser()

    @classmethod
    def tearDownClass(cls):
        cls.browser.close()
        shutil.rmtree(cls.folder)

    def test_nothing_is_fetched_nothing_runs_nothing_is_cut_off(self):
        for name, path in self.pages.items():
            with self.subTest(page=name):
                for width, dark in ((360, True), (1280, False)):
                    asked, console = self.browser.open(path, width, dark)
                    self.assertEqual([a for a in asked if not a.startswith("data:")], [path.as_uri()])
                    self.assertEqual(console, [])
                    self.assertEqual(self.browser.ask(CUT_OFF)[:5], [], width)
                    found = self.browser.ask(FAINT)
                    self.assertEqual(found["faint"][:5], [], "dark" if dark else "light")
                    self.assertLess(found["least"], 99)
                self.assertEqual(self.browser.ask("return document.scripts.length + document.querySelectorAll('[onload],[onclick],[onerror],iframe,object,link[rel=stylesheet]').length"), 0)

    def test_paper(self):
        for name, path in self.pages.items():
            with self.subTest(page=name):
                self.browser.open(path)
                pages = {paper: self.browser.printed(paper) for paper in ("A4", "Letter")}
                if "sheet" in name:
                    numbered = self.browser.ask("return document.querySelectorAll('.page').length")
                    self.assertEqual(pages, {"A4": numbered, "Letter": numbered})
                    last = self.browser.ask("return [...document.querySelectorAll('footer .mark')].pop().textContent")
                    self.assertIn(f"page {numbered} of {numbered}", last)
                elif name in ("record", "public record"):
                    self.assertIn(pages["A4"], (13, 14, 15))
                    self.assertIn(pages["Letter"], (14, 15, 16))

    def test_a_sheet_can_be_worked_from(self):
        for name, path in ((n, p) for n, p in self.pages.items() if n.startswith("sheet")):
            with self.subTest(page=name):
                self.browser.open(path, width=720, media="print")
                self.assertEqual(self.browser.ask(CUT_OFF)[:5], [])
                pages = self.browser.ask("return [...document.querySelectorAll('.page')].map(p => p.innerText)")
                for text in pages:  # of which any may hang alone
                    self.assertIn("Invented data for practice", text)
                    self.assertIn("Wear eye protection", text)
                    self.assertRegex(text, r"Schedule SHA-256 [0-9a-f]{64}")
                # Targets can be read from two metres: 10 mm is 38 CSS pixels. Bolts at half of that.
                sizes = self.browser.ask("return ['.target', 'th.bolt:not(.long)'].map(s => Math.min(...[...document.querySelectorAll(s)].map(e => parseFloat(getComputedStyle(e).fontSize))))")
                self.assertGreater(sizes[0], 38)
                self.assertGreater(sizes[1], 19)
                # Black and white: no word and no shape depends on a colour.
                colours = self.browser.ask("return [...new Set([...document.querySelectorAll('body *')].flatMap(e => { const s = getComputedStyle(e); return e.closest('svg') ? [s.fill, s.stroke] : [s.color, s.borderTopColor]; }))]")
                for colour in colours:
                    if match := re.match(r"rgb\((\d+), (\d+), (\d+)\)", colour):
                        self.assertLess(max(map(int, match.groups())) - min(map(int, match.groups())), 40, colour)

    def test_a_column_asks_for_what_the_wrench_shows(self):
        """Beside "set the wrench to 29.8 N·m" the column asked for ft·lbf, and loosening in an inch schedule for N·m."""
        notice = "notice: Invented data for practice. Never use on a real machine.\n"
        (self.folder / "inch.yaml").write_text(
            "format: fastener schedule 1\ntitle: Cover\n" + notice + "fasteners: {b: {thread: 3/8-16 UNC, strength: \"SAE 5\"}}\n"
            "bolts: [{id: 1}, {id: 2}]\norder: listed\nstages: [{torque: 22 ft·lbf}, {angle: 30°}, {loosen: fully}]\n", encoding="utf-8")
        (self.folder / "metric.yaml").write_text(
            "format: tool list 1\ntitle: One wrench\n" + notice
            + "torque_wrenches:\n  newton: {range: 5..60 N·m, accuracy: 2 %, indicates: value, unit: N·m}\n", encoding="utf-8")
        for words, columns in (((), ["ft·lbf", "°", "ft·lbf"]), (("--tools", "metric.yaml"), ["N·m", "°", "ft·lbf"])):
            run(self.folder, "plan", "inch.yaml", *words, "--sheet", "inch.html")
            page = (self.folder / "inch.html").read_text(encoding="utf-8")
            self.assertEqual(re.findall(r"<th[^>]*>read, ([^<]*)</th>", page), columns)

    def test_every_step_has_its_box(self):
        for path in [*SCHEDULES, self.folder / "cover.yaml"]:
            steps = len(json.loads(run(self.folder, "plan", str(path), "--json"))["steps"])
            self.browser.open(self.folder / f"{path.stem}.html")
            self.assertEqual(self.browser.ask("return document.querySelectorAll('.tick').length"), steps, path.name)

    def test_a_build_has_every_operation_on_one_sheet(self):
        build = json.loads(run(self.folder, "plan", str(SOURCE / "schedules/compressor-build.yaml"), "--json"))
        self.browser.open(self.pages["sheet build"])
        text = self.browser.ask("return document.body.innerText")
        for operation in build["operations"]:
            self.assertIn(f"{build['title']}: {operation['name']}", text)
        self.assertEqual(self.browser.ask("return document.querySelectorAll('.tick').length"), sum(len(o["steps"]) for o in build["operations"]))

    def test_screen_reader(self):
        for name, path in self.pages.items():
            with self.subTest(page=name):
                self.browser.open(path)
                tree = self.browser.tree()
                levels = [level for role, _, level in tree if role == "heading"]
                self.assertEqual(levels.count(1), 1 if name != "nasty sheet" else levels.count(1))
                self.assertEqual(levels[0], 1)
                for before, level in zip(levels, levels[1:]):
                    self.assertLessEqual(level, before + 1)
                for role, words, _ in tree:
                    if role in ("image", "img", "link", "columnheader", "heading"):
                        self.assertTrue(words.strip(), role)
                tables, heads = (sum(role == wanted for role, _, _ in tree) for wanted in ("table", "columnheader"))
                self.assertGreater(tables, 0)
                self.assertGreaterEqual(heads, 2 * tables)
                bare = self.browser.ask("return [...document.querySelectorAll('tbody tr')].filter(r => !r.querySelector('th[scope=row]')).length")
                self.assertEqual(bare, 0)
                astray = self.browser.ask("return [...document.querySelectorAll('a')].filter(a => !document.getElementById(a.hash.slice(1))).length")
                self.assertEqual(astray, 0)

    def test_html_is_valid(self):
        for name, path in self.pages.items():
            with self.subTest(page=name):
                done = subprocess.run(["tidy", "-q", "-e", "-utf8", str(path)], capture_output=True, text=True)
                self.assertLessEqual(done.returncode, 1, done.stderr[:2000])
                self.assertEqual([l for l in done.stderr.splitlines() if "trimming empty" not in l][:5], [])

    def test_hostile_text_stays_text(self):
        for name in ("nasty sheet", "nasty record"):
            raw = self.pages[name].read_text(encoding="utf-8")
            self.browser.open(self.pages[name])
            shown = self.browser.ask("return document.body.textContent")
            self.assertNotIn("<script", raw)
            self.assertIn("<script>alert(1)</script>\"'&amp;</style>]]>", shown)
            self.assertIn("\U0001F600", shown)
            self.assertIn("x" * 400, shown)
            for mark in RIGHT_TO_LEFT:
                self.assertNotIn(mark, raw)
        # Nothing is lost: the record has the whole of a note.
        self.assertIn("x" * 10_000, shown)

    def test_drawings(self):
        drawings = [p for p in self.folder.rglob("*.svg")]
        self.assertGreater(len(drawings), 12)
        for path in drawings:
            with self.subTest(drawing=path.name):
                text = path.read_text(encoding="utf-8")
                root = xml.etree.ElementTree.fromstring(text)
                self.assertEqual(root.tag, SVG + "svg")
                self.assertTrue(root.find(SVG + "title").text.strip())
                self.assertTrue(root.find(SVG + "desc").text.strip())
                self.assertEqual(root.get("role"), "img")
                self.assertEqual([e.tag for e in root.iter() if e.tag in (SVG + "script", SVG + "image", SVG + "foreignObject")], [])
                self.assertNotRegex(text, r"font-family:(?!sans-serif)|url\(|https?://(?!www\.w3\.org/2000/svg)")
        self.assertTrue(list(xml.etree.ElementTree.parse(self.folder / "drawings/bolts.svg").iter(SVG + "text")))

    def test_the_same_bytes_again(self):
        before = {p: p.read_bytes() for p in [*self.folder.rglob("*.svg"), *self.pages.values()]}
        make_all_again = [("plan", str(SCHEDULES[0]), "--tools", str(SOURCE / "schedules/tools.yaml"), "--sheet", f"{SCHEDULES[0].stem}.html", "--svg", f"{SCHEDULES[0].stem}.svg"),
                          ("predict", str(SCHEDULES[0]), "--svg", f"{SCHEDULES[0].stem}-prediction.svg"),
                          ("report", "cover.book", "-o", "record.html", "--svg", "drawings")]
        for words in make_all_again:
            run(self.folder, *words)
        for path, content in before.items():
            self.assertEqual(path.read_bytes(), content, path.name)

    def test_the_record_holds_every_finding(self):
        found = {f["slug"]: f for f in json.loads(run(self.folder, "check", "cover.book", "--json"))["findings"]}
        for slug in ("missed-step", "low", "high", "final-torque-out", "doubled", "unit-slip", "angle-without-torque", "no-movement", "gate-open", "count-short",
                     "measure-out", "wait-short", "reused-fastener", "unsure", "altered-record", "out-of-order", "stale-tool", "out-of-range-tool", "tool-coarse",
                     "clock-back", "odd-one-out", "friction-suspect", "still-moving", "late-entry", "corrected", "torn-line", "trial-pass", "accepted"):
            self.assertIn(slug, found)
        self.browser.open(self.pages["record"])
        text = self.browser.ask("return document.body.textContent")
        for slug, finding in found.items():
            self.assertIn(f"[{slug}]", text)
            if not finding["accepted"]:
                self.assertIn(finding["remedy"], text)
        self.assertIn("does not count, see line", text)
        self.assertIn("Accepted because: the gauge was read after the stop", text)
        self.assertIn("Not complete.", text)
        # The states stand as words beside the shapes.
        words = self.browser.ask("return [...document.querySelectorAll('figure svg')][0].textContent")
        for state in ("fault", "open", "warning"):
            self.assertIn(state, words)

    def test_a_public_copy_names_nobody(self):
        for form in ("html", "csv", "json", "text"):
            text = run(self.folder, "report", "cover.book", "--public", "--format", form)
            for private in ("Maren", "Jonte", "drain pan", "back of the hand", "bench", "dial", "cover.yaml", "tools.yaml", str(self.folder)):
                self.assertNotIn(private, text, form)
            self.assertIn("tool 1", text)
            self.assertIn("the telephone rang", text)  # a reason is part of what was found
        for line in json.loads(run(self.folder, "report", "cover.book", "--public", "--json"))["lines"]:
            self.assertTrue(line["at"].endswith("+00:00"))

    def test_the_pictures_of_the_document_are_there_and_small(self):
        named = re.findall(r"!\[[^\]]+\]\((pictures/[a-z]+\.png)\)", (SOURCE / "docs/pages.md").read_text(encoding="utf-8"))
        self.assertEqual({SOURCE / "docs" / name for name in named}, set((SOURCE / "docs/pictures").iterdir()))
        self.assertLessEqual(sum((SOURCE / "docs" / name).stat().st_size for name in named), 200_000)

    def test_a_spreadsheet_computes_nothing(self):
        text = run(self.folder, "report", "nasty.book", "--format", "csv")
        rows = list(csv.DictReader(io.StringIO(text)))
        notes = [row["note"] for row in rows]
        self.assertIn("'=1+1" + LONG, notes)
        self.assertIn("'-2+3", notes)
        self.assertIn("'@" + NASTY, [row["by"] for row in rows])
        for row in csv.reader(io.StringIO(text)):
            for field in row:
                self.assertNotRegex(field, r"^[=+@\t\r]|^-(?![0-9.]+$)")
        self.assertEqual({len(row) for row in csv.reader(io.StringIO(text))}, {19})


if __name__ == "__main__":
    unittest.main(verbosity=1)
