"""Labels to print: every piece, cleat and stack has one, all within its label, on common sheets."""

from __future__ import annotations

from pathlib import Path

import pytest

import roomcheck
from roomcheck.job import bench_job, default_shop, load_job, read_signed
from roomcheck.quote import Agreement
from roomcheck.report.figures.labels import Box
from roomcheck.report.figures.paper import overlapping
from roomcheck.report.shop_figures.label_sheets import label_papers, stickers
from roomcheck.report.shop_pages.shop_files import label_files, piece_files
from roomcheck.workshop import Part, build, build_wanted, wanted

STORY_ROOM = Path(roomcheck.__file__).parent / "demo" / "story-room"
# Width, height, columns, rows, left and top edge of the sheets of labels that are sold everywhere
# (common practice): 2-5/8 x 1 in on letter, 63.5 x 38.1 mm on A4.
SHEETS = {"letter": (66.675, 25.4, 30), "a4": (63.5, 38.1, 21)}


@pytest.mark.parametrize("paper", SHEETS)
def test_every_piece_and_cleat_of_a_job_has_its_label(paper):
    from dataclasses import replace

    job = replace(load_job(STORY_ROOM), paper=paper)
    sheet = build(job, read_signed(STORY_ROOM).value(Agreement).plan)
    found = stickers(job, sheet)
    pieces = [sticker for sticker in found if sticker.mark]
    cleats = sum(line.cleat_length_m is not None for line in sheet.hanging)
    assert len(pieces) == len(sheet.hanging) + cleats
    for line in sheet.hanging:
        own = next(sticker for sticker in pieces if sticker.name == line.name)
        assert line.piece in own.lines
        assert any(job.title in text for text in own.lines)
        assert any(line.face in text for text in own.lines)
    wide, tall, a_page = SHEETS[paper]
    papers = label_papers(job, found)
    assert len(papers) == -(-len(found) // a_page)
    for page in papers:
        assert not overlapping(page.written)
        assert all(page.sheet.holds(each.box) for each in page.written)
        for each in page.written:
            assert each.box.width_mm <= wide - 4 + 1e-6
            assert each.box.height_mm <= tall - 4


def test_a_stack_of_parts_carries_the_letter_of_the_cut_list():
    job = bench_job(default_shop(), units="imperial", title="a title that is long " * 9)
    sheet = build_wanted(job, [wanted("3 x 4 in panel", job.shop)])
    stacks = {s.name: s for s in stickers(job, sheet) if not s.mark}
    (piece,) = sheet.sheets
    for letter, cut in zip(piece.letters, piece.cuts, strict=True):
        if cut.part is Part.FRAME_LONG:
            assert stacks[letter].lines[0] == "6 × frame, long"
    (page,) = label_papers(job, stickers(job, sheet))
    assert not overlapping(page.written)
    inner = Box(0, 0, page.width_mm, page.height_mm)
    assert all(inner.holds(each.box) for each in page.written)


def test_files_of_a_bench_hold_labels_and_drawings():
    job = bench_job(default_shop("metric"), units="metric", title="made up")
    sheet = build_wanted(job, [wanted("100 mm panel", job.shop), wanted("felt tile", job.shop)])
    ((name, pdf),) = label_files(job, sheet)
    assert name == "labels.pdf" and pdf.startswith(b"%PDF")
    names = [name for name, _ in piece_files(job, sheet)]
    assert names == [
        "piece-1-100-mm-panel.svg",
        "piece-1-100-mm-panel.dxf",
        "piece-2-felt-tile.svg",
        "piece-2-felt-tile.dxf",
    ]
