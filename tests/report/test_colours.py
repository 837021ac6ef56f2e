"""Whatever carries meaning on a page stands out from it by 3:1, and letters by 4.5:1.

WCAG 2.2, 1.4.3 and 1.4.11 (from memory).
"""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

from roomcheck.job.logo.shop_words import contrast_on_white
from roomcheck.report.figures.figures import BAND, INK, QUIET, SOFT
from roomcheck.report.offer.offered import Offered
from roomcheck.report.offer.proposal import proposal
from roomcheck.report.pages.certificate import certificate
from roomcheck.report.pages.measurement import measurement_report
from roomcheck.report.render.blocks import Picture
from roomcheck.report.shop_pages.shopsheets import shop_sheets

GROUNDS = {BAND, "#edf1f2", "#ffffff", "#fff", "#b9c4c9"}
"""Paper, grids, the rows of a table and areas inside an outline: nobody has to tell these apart."""
LETTERS, MARKS = 4.5, 3.0
HEX = re.compile(r"#[0-9a-f]{6}\b|#[0-9a-f]{3}\b")


def on_grey(colour: str, ground: str) -> float:
    return contrast_on_white(colour) / contrast_on_white(ground)


def test_letters_are_read_on_paper_and_on_every_ground() -> None:
    for colour in (INK, QUIET):
        assert contrast_on_white(colour) >= LETTERS
        assert on_grey(colour, BAND) >= LETTERS
    assert on_grey(INK, SOFT) >= LETTERS


def test_the_lightest_mark_stands_out_from_paper() -> None:
    assert contrast_on_white(SOFT) >= MARKS
    assert contrast_on_white(BAND) < MARKS, "no longer a ground: take it out of the list"


@pytest.mark.parametrize("file", ["page.css", "page.typ"])
def test_pages_are_set_in_colours_that_stand_out(file: str) -> None:
    text = (files("roomcheck.report") / file).read_text("utf-8")
    colours = set(HEX.findall(text)) - GROUNDS
    assert colours
    assert all(contrast_on_white(colour) >= MARKS for colour in colours)


@pytest.fixture(scope="module")
def drawn(story, tmp_path_factory) -> list[Picture]:
    job, known = story(tmp_path_factory.mktemp("story-room"))
    offer = ("before", "verdict", "plans", "plan", "quotes", "quote")
    documents = (
        measurement_report(job, known["before"], known["verdict"]),
        proposal(Offered(job=job, **{name: known[name] for name in offer})),
        certificate(job, known["agreement"], known["verification"]),
        shop_sheets(job, known["plan"], known["sheet"], known["quote"]),
    )
    found = (block for document in documents for block in document.blocks)
    return [block for block in found if isinstance(block, Picture)]


def test_drawings_are_drawn_in_colours_that_stand_out(drawn: list[Picture]) -> None:
    assert len(drawn) >= 8
    for picture in drawn:
        svg = re.sub(r'href="[^"]*"|url\([^)]*\)', "", f"{picture.svg}{picture.narrow}".lower())
        faint = {
            colour
            for colour in set(HEX.findall(svg)) - GROUNDS
            if contrast_on_white(colour) < MARKS
        }
        assert not faint, picture.alt


def test_an_area_of_the_faint_ground_has_a_line_at_its_edge(drawn: list[Picture]) -> None:
    """A target's strip is told by the lines at its limits, not by its grey."""
    areas = 0
    for picture in drawn:
        filled = picture.svg.lower().count(f"fill: {BAND}")
        lines = len(re.findall(rf"stroke: (?:{INK}|{QUIET})", picture.svg.lower()))
        assert lines >= filled, picture.alt
        areas += filled
    assert areas, "no drawing has such an area any more"
