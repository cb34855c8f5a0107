"""Pages in a real browser: they fit a phone, print on A4, and fetch nothing.

Makes a show with its card, consistency proof and reports, a report on a file, one on two looks, and a package for post, and opens each in headless
Chromium. Sizes that pages must keep are this project's own choice.
"""

import html
import html.parser
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

from program import ROOT, run
from tally import Tally, finish

# A phone's width in CSS pixels.
PHONE = 390

# Pages of A4 that a page may take, and millimetres of that paper.
SHEETS = {"look": 8, "file": 6, "two": 8, "start": 1, "start-letter": 1}
A4 = (210.0, 297.0)

# US letter, 8.5 by 11 inches (ANSI/ASME Y14.1, from memory): whoever prints on it has the same page.
LETTER = (215.9, 279.4)

# Lines of a package's first page as a text: what a printed page of a text holds, common practice, no source.
START_LINES = 70

# A page in a frame of a phone's width, for no window of Chromium is that narrow; a script around it tells how wide the page is. The page itself
# stays as it is, but for pictures that wait until they are seen.
AROUND = """<!DOCTYPE html><meta charset="utf-8"><body style="margin:0"><iframe style="border:0;width:%dpx;height:800px" srcdoc="%s"></iframe>
<script>addEventListener("load",()=>{
const view=document.querySelector("iframe").contentWindow,page=view.document;
const wide=[...page.querySelectorAll("body *")].filter(e=>e.getBoundingClientRect().right>view.innerWidth+0.5
 &&!e.closest(".scroll")&&!e.closest("svg")).map(e=>e.tagName+"."+e.className);
const seen=[...page.images].filter(i=>i.naturalWidth>0).length;
document.documentElement.setAttribute("data-probe",[view.innerWidth,page.documentElement.scrollWidth,seen,page.images.length,
 view.performance.getEntriesByType("resource").filter(e=>!e.name.startsWith("data:")).length,wide.slice(0,3).join("+")].join(" "))})</script>"""


def chromium():
    for name in ("chromium", "chromium-browser", "google-chrome"):
        if shutil.which(name):
            return name
    raise SystemExit("no chromium: install it, and run again")


def browser(folder, *arguments):
    flags = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--hide-scrollbars", f"--user-data-dir={folder}/profile"]
    done = subprocess.run([chromium(), *flags, *arguments], capture_output=True, text=True, timeout=120, check=False)
    if done.returncode:
        raise SystemExit(f"chromium ended with {done.returncode}: {done.stderr[-2000:]}")
    return done.stdout


def probe(folder, page, width):
    """Width of the window and of the page, pictures seen and all of them, resources fetched, elements that stick out."""
    probed = folder / f"probe-{page.name}"
    text = page.read_text(encoding="utf-8").replace(' loading="lazy"', "")
    probed.write_text(AROUND % (width, html.escape(text)), encoding="utf-8")
    dom = browser(folder, f"--window-size={max(width, 800)},800", "--virtual-time-budget=5000", "--dump-dom", probed.as_uri())
    found = re.search(r'data-probe="([^"]*)"', dom)
    if not found:
        raise SystemExit(f"{page.name}: the page was not measured")
    numbers = found.group(1).split(" ")
    if int(numbers[0]) != width:
        raise SystemExit(f"{page.name}: seen {numbers[0]} pixels wide instead of {width}")
    return [int(number) for number in numbers[:5]], numbers[5]


def sheets(folder, page):
    """Number of printed pages, and their size in millimetres."""
    pdf = folder / f"{page.stem}.pdf"
    browser(folder, "--no-pdf-header-footer", f"--print-to-pdf={pdf}", page.as_uri())
    data = pdf.read_bytes()
    boxes = re.findall(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]", data)
    count = len(re.findall(rb"/Type\s*/Page\b", data))
    return count, {tuple(round(float(side) / 72 * 25.4, 1) for side in box) for box in boxes}


class Alternatives(html.parser.HTMLParser):
    """Pictures without words."""

    def __init__(self):
        super().__init__()
        self.silent = []

    def handle_starttag(self, tag, attributes):
        attributes = dict(attributes)
        if tag == "img" and not attributes.get("alt"):
            self.silent.append(self.getpos())


def made(folder):
    """Pages of every kind, with what is asked of each."""
    shutil.copytree(ROOT / "recipes", folder / "recipes")
    show = next(iter((folder / "recipes" / "tidewater").glob("*show*.toml")), None) or next((folder / "recipes").glob("*show*.toml"))
    run("compile", show, "--setup", "7b", "--report", "--out", folder / "luts", accept=(0, 1))
    run("false-colour", show, "--out", folder / "luts", accept=(0, 1))
    run("inspect", next((folder / "luts").rglob("*.cube")), "--report", "--out", folder / "seen")
    looks = [folder / "recipes" / name for name in ("dusk-car-deck.toml", "crossing-noon.toml")]
    run("compare", *looks, "--report", "--out", folder / "two")
    reports = sorted((folder / "luts").rglob("reports/*.html"))
    pages = [("look", page) for page in reports[:1]]
    pages += [("file", next((folder / "seen").glob("*.html"))), ("two", next((folder / "two").glob("*.html")))]
    pages += [("card", next((folder / "luts").rglob("loading-card.html")))]
    return pages + first_pages(folder, show)


def first_pages(folder, show):
    """The first page of the whole show's package."""
    package = folder / "package"
    run("handoff", show, "--no-reports", "--luts", folder / "luts", "--out", package, accept=(0, 1))
    start = folder / "start.html"
    shutil.copy(package / "START-HERE.html", start)
    lines = (package / "START-HERE.txt").read_text(encoding="utf-8").splitlines()
    shutil.rmtree(package)
    if len(lines) > START_LINES:
        raise SystemExit(f"START-HERE.txt has {len(lines)} lines instead of {START_LINES} at most")
    letter = folder / "start-letter.html"
    text = start.read_text(encoding="utf-8")
    if "size: A4" not in text:
        raise SystemExit("START-HERE.html does not say its paper")
    letter.write_text(text.replace("size: A4", "size: letter"), encoding="utf-8")
    return [("start", start), ("start-letter", letter)]


def main():
    widths = Tally("pages on a phone: CSS pixels wider than the window", 0, "px")
    fetched = Tally("pages fetch nothing", 0, "resources")
    pictures = Tally("pictures of pages that a browser doesn't show, or that have no words", 0, "pictures")
    printed = Tally("printed pages beyond what is allowed", 0, "pages")
    paper = Tally("paper that is not A4, or US letter where that was asked for", 1.0, "mm")
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        for kind, page in made(folder):
            for width in (PHONE, 1280):
                (window, wide, seen, images, resources), sticking = probe(folder, page, width)
                widths.add_differences([max(0, wide - window)], f"{kind} at {window}: {sticking or 'fits'}")
                fetched.add_differences([resources], f"{kind} at {window}")
                pictures.add_differences([images - seen], f"{kind} at {window}")
            reader = Alternatives()
            reader.feed(page.read_text(encoding="utf-8"))
            pictures.add_differences([len(reader.silent)], f"{kind}: {reader.silent[:1]}")
            if kind in SHEETS:
                count, sizes = sheets(folder, page)
                printed.add_differences([max(0, count - SHEETS[kind]), 0 if count > 0 else 1], f"{kind}: {count} pages")
                for size in sizes:
                    paper.add(size, LETTER if kind == "start-letter" else A4, f"{kind}: {size}")
    return finish([widths, fetched, pictures, printed, paper])


if __name__ == "__main__":
    os.environ.setdefault("LANG", "C.UTF-8")
    sys.exit(main())
