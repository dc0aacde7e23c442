"""Holds docs/README.md to the pages: each is listed, once as its own entry; no link of any page leads nowhere.

usage: index.py SOURCE_DIR
"""
import pathlib
import re
import sys
import unittest

SOURCE = pathlib.Path(sys.argv.pop(1)).resolve()
DOCS = SOURCE / "docs"
INDEX = DOCS / "README.md"
KINDS = ["Tutorial", "How-to", "Reference", "Explanation"]
LINK = re.compile(r"\]\(([^)\s]+)\)")


def prose(path):
    """The page without its blocks of code."""
    return re.sub(r"^```.*?^```", "", path.read_text(encoding="utf-8"), flags=re.S | re.M)


def anchors(path):
    """The names that a heading gets: lower case, words joined by hyphens, other signs gone."""
    headings = re.findall(r"^#+ (.*)$", prose(path), re.M)
    return {re.sub(r"[^\w\- ]", "", re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", h).lower()).replace(" ", "-") for h in headings}


def pages():
    return sorted(p for p in DOCS.rglob("*.md") if p != INDEX)


class Index(unittest.TestCase):
    def test_four_kinds(self):
        self.assertEqual(re.findall(r"^## (.*)$", INDEX.read_text(encoding="utf-8"), re.M), KINDS)

    def test_every_page_is_listed(self):
        self.assertGreater(len(pages()), 10)
        listed = {(DOCS / link.split("#")[0]).resolve() for link in LINK.findall(prose(INDEX)) if "#" not in link}
        self.assertEqual([str(p.relative_to(DOCS)) for p in pages() if p not in listed], [])
        self.assertIn("docs/README.md", LINK.findall(prose(SOURCE / "README.md")))

    def test_no_link_leads_nowhere(self):
        followed = 0
        for page in [*pages(), INDEX, SOURCE / "README.md", SOURCE / "DEVELOPERS.md"]:
            for link in LINK.findall(prose(page)):
                where = f"{page.relative_to(SOURCE)}: {link}"
                self.assertNotRegex(link, "^[a-z]+:", where)
                name, _, anchor = link.partition("#")
                target = (page.parent / name).resolve() if name else page
                self.assertTrue(target.exists(), where)
                if anchor:
                    self.assertIn(anchor, anchors(target), where)
                followed += 1
        self.assertGreater(followed, 50)

    def test_the_readme_shows_where_things_are(self):
        tree = re.search(r"^## What is where\n\n```\n(.*?)^```$", (SOURCE / "README.md").read_text(encoding="utf-8"), re.S | re.M)
        self.assertIsNotNone(tree)
        self.assertLessEqual(len(tree[1].splitlines()), 10)
        top = {line.split()[0] for line in tree[1].splitlines() if line[0] != " "}
        folders = {p.name for p in SOURCE.iterdir() if p.is_dir() and (p.name == ".ci" or p.name[0] != "." and p.name != "build")}
        self.assertEqual(top, {"lib/clampbook" if name == "lib" else name for name in folders})
        rooms = [p.name for p in (SOURCE / "lib/clampbook").iterdir() if p.is_dir()]
        self.assertGreater(len(rooms), 8)
        for room in rooms:
            self.assertRegex(tree[1], rf"\b{room}\b")

    def test_decisions_say_why(self):
        records = sorted((DOCS / "decisions").glob("*.md"))
        self.assertGreaterEqual(len(records), 6)
        for record in records:
            text = record.read_text(encoding="utf-8")
            self.assertEqual(re.findall(r"^## (.*)$", text, re.M), ["Context", "Decision", "Consequences"], record.name)
            self.assertLess(len(text.split()), 400, f"{record.name} is no short record")

    def test_the_glossary_is_in_order(self):
        entries = re.findall(r"^\*\*(.+?)\*\*: ", (DOCS / "glossary.md").read_text(encoding="utf-8"), re.M)
        self.assertGreater(len(entries), 30)
        self.assertEqual(entries, sorted(set(entries)))


unittest.main()
