"""The installer's sheets: one page a wall, with all its cautions."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest

import roomcheck
from roomcheck.job import load_job, read_signed
from roomcheck.quote import Agreement
from roomcheck.report.render.letterhead import letterhead_of
from roomcheck.report.render.typst_page import pdf_of
from roomcheck.report.shop_pages.shopsheets import shop_sheets
from roomcheck.workshop import build

STORY_ROOM = Path(roomcheck.__file__).parent / "demo" / "story-room"


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_every_wall_stands_on_one_page_with_its_cautions(tmp_path, paper):
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext (poppler-utils) is not installed")
    job = replace(load_job(STORY_ROOM), paper=paper)
    plan = read_signed(STORY_ROOM).value(Agreement).plan
    sheet = build(job, plan)
    pdf = tmp_path / "sheets.pdf"
    pdf.write_bytes(pdf_of(shop_sheets(job, plan, sheet), letterhead_of(job)))
    text = subprocess.run(
        ["pdftotext", "-layout", str(pdf), "-"], capture_output=True, check=True
    ).stdout.decode()
    pages = [re.sub(r"\s+", " ", page) for page in text.split("\f")[:-1]]
    first = next(i for i, page in enumerate(pages) if "Order of work" in page)
    walls = list(dict.fromkeys(line.face for line in sheet.hanging))
    assert len(walls) >= 3
    # A wall takes one page, or one with its drawing and marks and one with cleats and cautions.
    of_wall = dict.fromkeys(walls, "")
    for page in pages[first + 1 :]:
        (wall,) = [
            name for name in walls if re.search(rf" {name.capitalize()} |: {name} ", page[:400])
        ]
        of_wall[wall] += page
    assert len(pages) - first - 1 <= 2 * len(walls)
    for page in of_wall.values():
        for words in (
            "Marks",
            "Cleats and screws",
            "Wires and pipes",
            "No drywall screws",
            "certifies a load",
        ):
            assert all(word in page for word in words.split()), (words, page)
        assert "Defer to local" in page
