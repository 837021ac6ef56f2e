"""The documents as web pages, for everyone: axe-core finds nothing, nothing runs off a telephone,
no letter of a drawing is too small to read there."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from roomcheck.chain import open_job
from roomcheck.job import load_job
from roomcheck.report import Case, report_files
from roomcheck.words import money

from ..report.conftest import everything

AXE = os.environ.get("AXE_CORE", "")
"""The path of axe.min.js, as npm has it in the package axe-core."""

SMALLEST = """
() => {
  const letters = [...document.querySelectorAll('svg text')].filter(t => t.checkVisibility());
  return Math.min(...letters.map(t => {
    const scale = Math.hypot(t.getScreenCTM().a, t.getScreenCTM().b);
    return parseFloat(getComputedStyle(t).fontSize) * scale;
  }));
}
"""


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    folder = tmp_path_factory.mktemp("papers")
    job, known = everything(folder)
    made = {}
    for name, data in report_files(Case(job=job, **known), aside=folder):
        path = folder / Path(name).name
        if name.endswith(".html"):
            made[path.stem] = data
        elif name.endswith(".pdf") and Path(name).parent.name == "documents":
            path.write_bytes(data)
    return made


def test_the_papers_hold_for_everyone(pages, chromium, window):
    for name, path in pages.items():
        window.goto(path.as_uri())
        wide = window.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert wide <= 0, name
        if name != "shop-and-install":
            assert window.evaluate(SMALLEST) >= 11.9, name
        if not Path(AXE).is_file():
            continue
        assert violations(window) == "[]", name


def violations(window):
    """What axe-core finds on the page, as JSON."""
    client = window.context.new_cdp_session(window)
    client.send("Runtime.evaluate", {"expression": Path(AXE).read_text("utf-8")})
    answer = client.send(
        "Runtime.evaluate",
        {
            "expression": "axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', "
            "'wcag22aa', 'best-practice']}).then(r => JSON.stringify(r.violations.map("
            "v => [v.id, v.nodes.slice(0, 2).map(n => n.html.slice(0, 120))])))",
            "awaitPromise": True,
            "returnByValue": True,
        },
    )
    return answer["result"]["value"]


CLIENT_PAPERS = ("proposal", "quote", "before-and-after")


def test_axe_finds_nothing_on_what_the_demo_gives_its_client(told, window):
    if not Path(AXE).is_file():
        pytest.skip("AXE_CORE does not name axe.min.js")
    for name in CLIENT_PAPERS:
        window.goto((told.folder / "documents" / f"{name}.html").as_uri())
        assert violations(window) == "[]", name


PRICES = """
price => {
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const places = [];
  while (walker.nextNode()) {
    const text = walker.currentNode;
    const at = text.data.indexOf(price);
    if (at < 0 || !text.parentElement.checkVisibility()) continue;
    const range = document.createRange();
    range.setStart(text, at);
    range.setEnd(text, at + price.length);
    const place = range.getBoundingClientRect();
    places.push([place.left, place.right, place.height]);
  }
  return places;
}
"""


def test_every_price_of_the_demo_is_in_view(told, window):
    wide = window.viewport_size["width"]
    total = money(open_job(told.folder).quote.total, load_job(told.folder))
    for name in ("proposal", "quote"):
        window.goto((told.folder / "documents" / f"{name}.html").as_uri())
        places = window.evaluate(PRICES, total)
        assert places, name
        for left, right, high in places:
            assert left >= 0 and right <= wide, name
            assert high < 40, f"{name}: broken over lines"


CUT = """
() => [...document.querySelectorAll('main *')].filter(one => one.checkVisibility()
  && one.getBoundingClientRect().right > innerWidth + 1).map(one => one.outerHTML.slice(0, 80))
"""
LETTER_PT, MARGIN_MM = 612.0, 22.0
FEWEST_WORDS = 8
"""Of a page without its first and last line: fewer than the drawing of a wall says."""


@pytest.fixture(scope="module")
def printed(pages, told, chromium, tmp_path_factory):
    """Each paper as the browser prints it, what it would cut at the margin, and its heads."""
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext (poppler-utils) is not installed")
    folder = tmp_path_factory.mktemp("printed")
    wide_px = round((LETTER_PT / 72 - 2 * MARGIN_MM / 25.4) * 96)
    window = chromium.new_page(viewport={"width": wide_px, "height": 900})
    found = {}
    demo = sorted((told.folder / "documents").glob("*.html"))
    for path in [*pages.values(), *demo]:
        window.goto(path.as_uri())
        window.emulate_media(media="print")
        heads = window.eval_on_selector_all("h2, h3, h4", "all => all.map(h => h.innerText)")
        paper = folder / f"{path.stem}.pdf"
        paper.write_bytes(window.pdf(prefer_css_page_size=True))
        found[path] = leaves(paper), window.evaluate(CUT), heads
    window.close()
    return found


def leaves(pdf: Path) -> list[str]:
    """The texts of a file's pages."""
    done = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, check=True)
    return done.stdout.decode().split("\f")[:-1]


def test_a_browser_prints_as_many_pages_as_the_pdf_has(printed):
    for path, (found, _, _) in printed.items():
        wanted = leaves(path.with_suffix(".pdf"))
        assert abs(len(found) - len(wanted)) <= 1, (path, len(found), len(wanted))


def test_a_print_cuts_nothing_and_leaves_no_page_empty(printed):
    for name, (found, cut, _) in printed.items():
        assert not cut, name
        for text in found:
            inside = " ".join([line for line in text.splitlines() if line.strip()][1:-1])
            assert len(inside.split()) >= FEWEST_WORDS, (name, text)
            assert "MADE UP" in text, name


def test_no_head_stands_alone_at_the_end_of_a_printed_page(printed):
    for name, (found, _, heads) in printed.items():
        for text in found:
            *lines, foot = [line.strip() for line in text.splitlines() if line.strip()]
            assert re.search(r"page \d+ of \d+$", foot), (name, foot)
            assert lines[-1] not in heads, name
