"""Labels to print: one a piece, one a wall cleat, one a stack of parts, on sheets of common label
sizes.

Sizes are those that office suppliers sell under many names (common practice): on letter 1 x 2-5/8
in, 30 a sheet; on A4 63.5 x 38.1 mm, 21 a sheet. Print at 100 %.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from roomcheck.job import Job
from roomcheck.report.figures.labels import Box, lines_size_mm
from roomcheck.report.figures.paper import Paper, Pen
from roomcheck.words import Reader, part_text, say, size
from roomcheck.workshop import BuildSheet, Cut, HangingLine, Part, PieceSheet

_EDGE_MM = 2.0
"""Kept free within a label: sheets are never fed quite straight. [mm]"""
_LARGE_MM, _LINE_MM = 4.6, 2.4
"""Letters of a label's name and of its lines. [mm]"""
_SMALLEST_MM = 1.7
_NO_LABEL = frozenset({Part.BLOCK, Part.FABRIC, Part.BACKING_CLOTH, Part.FRONT_CLOTH})
"""What is kept in bins and on rolls."""


@dataclass(frozen=True, slots=True)
class _Stock:
    """A sheet of labels. [mm]"""

    page_mm: tuple[float, float]
    label_mm: tuple[float, float]
    pitch_mm: tuple[float, float]
    first_mm: tuple[float, float]
    """From the page's left and top edge to the first label."""
    columns: int
    rows: int


_SHEETS = {
    "letter": _Stock((215.9, 279.4), (66.675, 25.4), (69.85, 25.4), (4.7625, 12.7), 3, 10),
    "a4": _Stock((210.0, 297.0), (63.5, 38.1), (66.04, 38.1), (7.21, 15.15), 3, 7),
}


@dataclass(frozen=True, slots=True)
class Sticker:
    """What one label says."""

    name: str
    lines: tuple[str, ...]
    mark: str = ""
    """Large at its right: which way up it is, which side it is."""


def stickers(job: Job, sheet: BuildSheet) -> tuple[Sticker, ...]:
    """Labels of a job: pieces, their wall cleats, then stacks of parts by letters."""
    found = [_of_piece(job, line) for line in sheet.hanging]
    for line in sheet.hanging:
        if line.cleat_length_m is not None:
            found.append(_of_cleat(job, line))
        if line.begins_rail:
            found.append(_of_rail(job, line))
    if not sheet.hanging:
        for piece in sheet.sheets:
            lines = (piece.piece, _title(job))
            found += [Sticker(name, lines, say("label_top")) for name in piece.names]
    for piece in sheet.sheets:
        found += _of_parts(job, piece)
    return tuple(found)


def _of_piece(job: Job, line: HangingLine) -> Sticker:
    """Name, kind, job, wall and place of a piece; it goes on the back, near the top."""
    where = say("label_place", face=line.face, left=size(line.left_m, job))
    top = say("label_level", top=size(line.top_m, job))
    if job.room.face(line.face).kind == "ceiling":
        top = say("label_far", far=size(line.top_m, job))
    return Sticker(line.name, (line.piece, where, top, _title(job)), say("label_top"))


def _title(job: Job) -> str:
    """The job's title, marked where the job is made up."""
    return say("label_made_up", title=job.title) if job.made_up else job.title


def _of_cleat(job: Job, line: HangingLine) -> Sticker:
    assert line.cleat_length_m is not None
    where = say("label_cleat", length=size(line.cleat_length_m, job), face=line.face)
    return Sticker(line.name, (where, say("label_bevel"), _title(job)), say("label_top"))


def _of_rail(job: Job, line: HangingLine) -> Sticker:
    assert line.rail is not None
    names = ", ".join(line.rail.names)
    where = say("label_rail", length=size(line.rail.length_m, job), face=line.face, names=names)
    return Sticker(line.rail.name, (where, say("label_bevel"), _title(job)), say("label_top"))


def _of_parts(job: Job, piece: PieceSheet) -> list[Sticker]:
    """One a letter: what the stack is, how many, for which pieces."""
    stacks: dict[str, list[Cut]] = {}
    for letter, cut in zip(piece.letters, piece.cuts, strict=True):
        if cut.part not in _NO_LABEL:
            stacks.setdefault(letter, []).append(cut)
    return [_of_stack(job, piece, letter, cuts) for letter, cuts in stacks.items()]


def _of_stack(job: Job, piece: PieceSheet, letter: str, cuts: Sequence[Cut]) -> Sticker:
    cut, count = cuts[0], sum(each.count for each in cuts)
    reader = Reader("contractor", job.units)
    sizes = f"{size(cut.length_m, job)} × {size(cut.width_m, job)}"
    first = say("label_stack", count=count, part=part_text(cut, reader))
    names = _span(piece.names)
    return Sticker(letter, (first, sizes, say("label_for", piece=piece.piece, names=names)))


def _span(names: Sequence[str]) -> str:
    """Names, or the first and the last of many."""
    return ", ".join(names) if len(names) <= 4 else f"{names[0]} … {names[-1]}"


def label_papers(job: Job, found: Sequence[Sticker]) -> tuple[Paper, ...]:
    """Sheets of labels, filled row by row."""
    stock = _SHEETS[job.paper]
    a_page = stock.columns * stock.rows
    papers = []
    for start in range(0, len(found), a_page):
        paper = Paper(*stock.page_mm)
        for i, sticker in enumerate(found[start : start + a_page]):
            _stick(paper, _box(stock, i), sticker)
        papers.append(paper)
    return tuple(papers)


def _box(stock: _Stock, number: int) -> Box:
    row, column = divmod(number, stock.columns)
    left = stock.first_mm[0] + column * stock.pitch_mm[0]
    top = stock.page_mm[1] - stock.first_mm[1] - row * stock.pitch_mm[1]
    return Box(left, top - stock.label_mm[1], left + stock.label_mm[0], top)


def _stick(paper: Paper, box: Box, sticker: Sticker) -> None:
    """Write one label: name and lines from its left, the mark at its upper right."""
    inner = box.grown(-_EDGE_MM)
    name = paper.text(
        (inner.left_mm, inner.top_mm),
        sticker.name,
        size_mm=_LARGE_MM,
        across="left",
        up="top",
        bold=True,
    )
    if sticker.mark:
        mark = paper.text(
            (inner.right_mm, inner.top_mm),
            sticker.mark,
            size_mm=_LINE_MM,
            across="right",
            up="top",
            bold=True,
        )
        y = mark.bottom_mm - 0.4
        paper.line((mark.left_mm, y), (mark.right_mm, y), pen=Pen.EDGE)
    free = name.bottom_mm - inner.bottom_mm - 0.4
    pitch = min(free / len(sticker.lines), _LINE_MM * 1.25)
    top = name.bottom_mm - 0.4
    for i, line in enumerate(sticker.lines):
        text, letters = _fitting(line, inner.width_mm, min(_LINE_MM, pitch / 1.05))
        spot = inner.left_mm, top - i * pitch
        paper.text(spot, text, size_mm=letters, across="left", up="top")


def _fitting(text: str, wide_mm: float, letters_mm: float) -> tuple[str, float]:
    """A line that fits: smaller letters first, then without its end. [mm]"""
    wide = lines_size_mm([text], letters_mm)[0]
    if wide <= wide_mm:
        return text, letters_mm
    smaller = max(letters_mm * wide_mm / wide, min(_SMALLEST_MM, letters_mm))
    while lines_size_mm([text], smaller)[0] > wide_mm:
        text = f"{text[:-2].rstrip()}…"
    return text, smaller
