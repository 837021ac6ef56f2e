"""No page but the last is left mostly empty, whatever is built and wherever it hangs."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from matplotlib import image

import roomcheck
from roomcheck.job import bench_job, load_job, read_shop, read_signed
from roomcheck.quote import Agreement
from roomcheck.report.render.blocks import Document, Heading, NewPage, Picture, Text
from roomcheck.report.render.letterhead import letterhead_of
from roomcheck.report.render.typst_page import pdf_of
from roomcheck.report.shop_pages.shopsheets import shop_sheets
from roomcheck.workshop import build, build_pieces

LEAST_FULL = 0.40
"""Of the height between head and foot of a page."""
HEAD, FOOT = 0.085, 0.935
"""Where the body of a page begins and ends, as shares of its height: below the running head, above
the rule of the foot."""
STORY_ROOM = Path(roomcheck.__file__).parent / "demo" / "story-room"
SHOPS = {"imperial": "shop.toml", "metric": "shop_metric.toml"}


def fullness(pdf: Path) -> list[float]:
    """How far down the body of each page its lowest mark stands, as a share."""
    if shutil.which("pdftoppm") is None:
        pytest.skip("poppler's pdftoppm is not on this machine")
    draft = pdf.with_suffix("")
    subprocess.run(["pdftoppm", "-r", "30", "-gray", "-png", str(pdf), str(draft)], check=True)
    drawn = sorted(pdf.parent.glob(f"{draft.name}-*.png"))
    full = [_full(page) for page in drawn]
    for page in drawn:
        page.unlink()
    return full


def _full(page: Path) -> float:
    grey = image.imread(page)
    grey = grey if grey.ndim == 2 else grey[..., 0]
    top, bottom = round(HEAD * len(grey)), round(FOOT * len(grey))
    marked = np.flatnonzero((grey[top:bottom] < 0.85).any(axis=1))
    return float(marked.max() + 1) / (bottom - top) if marked.size else 0.0


def is_set(tmp_path: Path, document: Document) -> list[float]:
    path = tmp_path / "paper.pdf"
    path.write_bytes(pdf_of(document, letterhead_of(load_job(STORY_ROOM))))
    return fullness(path)


def in_parts(break_: NewPage, *lines: int) -> Document:
    blocks = []
    for part, count in enumerate(lines):
        blocks += [break_] if part else []
        blocks += [Heading(text=f"Part {part}"), *(Text(body="A line."),) * count]
    return Document(name="paper", title="Title", subtitle="Of", blocks=tuple(blocks))


def test_a_page_begins_where_the_one_before_is_used_and_nowhere_else(tmp_path):
    # About 29 lines of text, a line apart, fill a page of letter size.
    assert len(is_set(tmp_path, in_parts(NewPage(), 20, 20, 20))) == 3
    assert len(is_set(tmp_path, in_parts(NewPage(), 3, 12, 3))) == 2
    assert len(is_set(tmp_path, in_parts(NewPage(if_needed=True), 10, 10))) == 1
    assert len(is_set(tmp_path, in_parts(NewPage(if_needed=True), 20, 20))) == 2
    almost_empty, *_ = is_set(tmp_path, in_parts(NewPage(always=True), 1, 1))
    assert almost_empty < LEAST_FULL


def test_a_line_that_leads_to_a_picture_goes_to_its_page(tmp_path):
    size = 'width="300pt" height="300pt"'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" {size}><path d="M0 0h300v300h-300z"/></svg>'
    picture = Picture(svg=svg, alt="A square", caption="")
    lines = (Text(body="A line."),) * 22
    parts = (*lines, Heading(text="Drawings"), Text(body="In millimetres."), picture)
    whole = Document(name="paper", title="Title", subtitle="Of", blocks=parts)
    alone = Document(name="paper", title="Title", subtitle="Of", blocks=lines)
    (first, _), (bare,) = is_set(tmp_path, whole), is_set(tmp_path, alone)
    assert first == pytest.approx(bare, abs=0.01), "head and line stay behind"


@pytest.mark.parametrize("units", SHOPS)
def test_build_sheets_of_all_that_a_shop_makes_are_full(tmp_path, units):
    shop = read_shop(Path(str(files("roomcheck.job") / SHOPS[units])))
    job = bench_job(shop, units=units, title="All pieces")
    sheet = build_pieces(job, [(piece.name, 2) for piece in shop.stock])
    assert any(piece.row_map for piece in sheet.sheets)
    path = tmp_path / "build.pdf"
    path.write_bytes(pdf_of(shop_sheets(job, None, sheet), letterhead_of(job)))
    *full, _last = fullness(path)
    assert len(full) > 20
    assert min(full) >= LEAST_FULL, full


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_sheets_of_a_hung_room_are_full(tmp_path, paper):
    job = replace(load_job(STORY_ROOM), paper=paper)
    plan = read_signed(STORY_ROOM).value(Agreement).plan
    path = tmp_path / "sheets.pdf"
    path.write_bytes(pdf_of(shop_sheets(job, plan, build(job, plan)), letterhead_of(job)))
    *full, _last = fullness(path)
    assert min(full) >= LEAST_FULL, full
