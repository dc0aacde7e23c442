"""Makes the pictures of docs/pages.md: docs/pictures/*.png, at most 200 kB in all.

usage: screenshots.py PROGRAM SOURCE_DIR
"""
import pathlib
import sys
import tempfile

PROGRAM, SOURCE = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2]).resolve()
sys.path.insert(0, str(SOURCE / "tests/support"))

import golden  # noqa: E402
from browser import Browser  # noqa: E402

MOST = 200_000


def main():
    target = SOURCE / "docs/pictures"
    target.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        schedule = str(SOURCE / "schedules/split-crankcase.yaml")
        session = (SOURCE / "tests/browser/every_finding.session").read_text(encoding="utf-8")
        golden.replay(str(PROGRAM), golden.parse(session), folder)
        for words in (["plan", schedule, "--sheet", "sheet.html"], ["predict", schedule, "--svg", "prediction.svg"], ["report", "cover.book", "-o", "record.html"]):
            golden.run(str(PROGRAM), words, None, b"", folder)
        browser = Browser()
        try:
            # (file, width, from the top of which element, height)
            for file, width, start, height in (("sheet.html", 720, "section.page:nth-of-type(3)", 490), ("record.html", 640, "#picture", 520), ("prediction.svg", 720, "svg", 828)):
                browser.open(folder / file, width)
                top = browser.ask(f"return document.querySelector('{start}').getBoundingClientRect().top + window.scrollY")
                picture = browser.picture(width, height, max(0, top - 8))
                (target / f"{pathlib.Path(file).stem}.png").write_bytes(picture)
        finally:
            browser.close()
    total = sum(p.stat().st_size for p in target.glob("*.png"))
    print(f"{total} bytes in docs/pictures")
    return 0 if total <= MOST else 1


sys.exit(main())
