"""Holds the manual pages to the program: its tables, its --help, its exit statuses; and has each page linted.

usage: pages.py PROGRAM MANUAL SOURCE_DIR PAGES_DIR    MANUAL fills the pages in and prints the tables
"""
import pathlib
import re
import subprocess
import sys
import unittest

from tables import read_tables

PROGRAM, MANUAL, SOURCE, PAGES = (pathlib.Path(sys.argv.pop(1)).resolve() for _ in range(4))
VERBS, EVERYWHERE = read_tables(MANUAL)
SECTIONS = ["NAME", "SYNOPSIS", "DESCRIPTION", "OPTIONS", "EXIT STATUS", "EXAMPLES", "CAUTIONS", "SEE ALSO"]
OPTION = re.compile(r"(?<![\w-])--[a-z][a-z-]*")


def output(*words):
    done = subprocess.run([str(w) for w in words], capture_output=True, text=True, timeout=60, check=False,
                          env={"LC_ALL": "C.UTF-8", "PATH": "/usr/bin:/bin"})
    return done.returncode, done.stdout + done.stderr


def sections(page):
    """The page as a person reads it: the lines below each heading, in order."""
    status, text = output("mandoc", "-T", "utf8", "-O", "width=400", PAGES / page)
    if status != 0 or not text.strip():
        raise SystemExit(f"mandoc can't show {page}: {text}")
    text = re.sub(r".\x08", "", text)
    text = text.rstrip().rpartition("\n")[0]  # the footer names the page again
    parts = re.split(r"^([A-Z][A-Z ]+)$", text, flags=re.M)
    return {name: body for name, body in zip(parts[1::2], parts[2::2])}


def statuses(parts):
    return set(re.findall(r"^ {7}(\d+)\b", parts["EXIT STATUS"], re.M))


def words_of(option):
    return f"{option['name']} {option['value']}".strip()


class Pages(unittest.TestCase):
    def verb_pages(self):
        for verb, spec in VERBS.items():
            page = f"clampbook-{verb}.1"
            yield verb, spec, sections(page)

    def test_every_verb_has_its_page_and_every_page_its_verb(self):
        wanted = {"clampbook.1"} | {f"clampbook-{verb}.1" for verb in VERBS}
        self.assertEqual({p.name[:-len(".scd")] for p in (SOURCE / "docs/man").glob("*.1.scd")}, wanted)
        self.assertEqual({p.name for p in PAGES.glob("*.1")}, wanted)
        self.assertGreater(len(wanted), 10)

    def test_the_tables_are_those_of_the_program(self):
        listed = re.findall(r"^  ([a-z]+) ", output(PROGRAM, "--help")[1].split("Everywhere:")[0], re.M)
        self.assertEqual(listed, list(VERBS))
        for verb, spec in VERBS.items():
            status, text = output(PROGRAM, verb, "--help")
            self.assertEqual(status, 0, verb)
            shown = re.findall(r"^  (-[a-z-]+(?: \S+)?)(?: |$)", text.split("\nExamples:")[0], re.M)
            self.assertEqual([s.strip() for s in shown], [words_of(o) for o in spec["options"] + EVERYWHERE], verb)

    def test_no_linter_complains(self):
        for page in sorted(PAGES.glob("*.1")):
            _, text = output("mandoc", "-T", "lint", "-W", "warning", page)
            # scdoc begins a paragraph after each heading; no reader sees it.
            complaints = [line for line in text.splitlines() if "WARNING: skipping paragraph macro: PP" not in line]
            self.assertEqual(complaints, [], page.name)

    def test_sections_stand_in_their_order(self):
        for _, _, parts in self.verb_pages():
            self.assertEqual(list(parts), SECTIONS)
            self.assertTrue(all(body.strip() for body in parts.values()))
            self.assertIn("eye protection", parts["CAUTIONS"])
        self.assertEqual([s for s in sections("clampbook.1") if s != "ENVIRONMENT"], SECTIONS)

    def test_every_operand_and_option_is_told(self):
        for verb, spec, parts in self.verb_pages():
            rows = [re.sub(r"\s+", " ", line.strip()) for line in parts["OPTIONS"].splitlines()]
            for option in spec["options"] + EVERYWHERE:
                self.assertEqual(rows.count(words_of(option)), 1, option)
                self.assertIn(option["help"], rows, verb)
            for operand in spec["operands"]:
                self.assertIn(operand["name"], rows)
                self.assertIn(operand["name"], parts["SYNOPSIS"])
            for option in spec["options"]:
                if "[options]" not in parts["SYNOPSIS"]:
                    self.assertIn(words_of(option), parts["SYNOPSIS"])
        rows = [line.strip() for line in sections("clampbook.1")["OPTIONS"].splitlines()]
        for option in EVERYWHERE:
            self.assertIn(words_of(option), rows)

    def test_the_prose_names_no_option_that_is_not_there(self):
        everywhere = {o["name"] for o in EVERYWHERE}
        known = everywhere.union(*({o["name"] for o in spec["options"]} for spec in VERBS.values()))
        self.assertLessEqual(set(OPTION.findall(" ".join(sections("clampbook.1").values()))), known)
        for verb, spec, parts in self.verb_pages():
            own = everywhere | {o["name"] for o in spec["options"]}
            told = OPTION.findall(parts["SYNOPSIS"] + parts["EXIT STATUS"])
            self.assertLessEqual(set(told), own)
            told = re.findall(r"(?:\b([a-z]+) )?(--[a-z][a-z-]*)", parts["DESCRIPTION"])
            for other, option in told:
                names = {o["name"] for o in VERBS[other]["options"]} if other in VERBS else own
                self.assertIn(option, names, verb)

    def test_the_examples_are_those_that_are_run(self):
        for verb, spec, parts in self.verb_pages():
            shown = re.findall(r"^\s+(clampbook .*)$", parts["EXAMPLES"], re.M)
            self.assertEqual(shown, spec["examples"], verb)

    def test_exit_statuses_are_those_of_the_program(self):
        header = (SOURCE / "cli/exit_status.h").read_text(encoding="utf-8")
        known = set(re.findall(r"= (\d+),", header))
        self.assertEqual(statuses(sections("clampbook.1")), known)
        for _, _, parts in self.verb_pages():
            self.assertLessEqual(statuses(parts), known)
            self.assertLessEqual({"0", "2", "4", "70"}, statuses(parts))

    def test_see_also_leads_to_pages(self):
        for verb, _, parts in self.verb_pages():
            self.assertIn(f"clampbook-{verb} - ", parts["NAME"])
            named = re.findall(r"([a-z-]+)\(1\)", parts["SEE ALSO"])
            self.assertEqual(named[0], "clampbook")
            self.assertEqual(len(named), len(set(named)))
            for name in named:
                self.assertTrue((PAGES / f"{name}.1").is_file(), name)
                self.assertNotEqual(name, f"clampbook-{verb}")
        named = re.findall(r"clampbook-([a-z]+)\(1\)", sections("clampbook.1")["SEE ALSO"])
        self.assertEqual(named, list(VERBS))


unittest.main()
