"""What goes with the shop's sheets as files of their own: labels to print, drawings of pieces and
walls as SVG and DXF."""

from __future__ import annotations

from roomcheck.job import Job
from roomcheck.report.render.typst_page import pages_pdf
from roomcheck.report.shop_figures.label_sheets import label_papers, stickers
from roomcheck.report.shop_figures.piece_views import piece_drawing
from roomcheck.words import say
from roomcheck.workshop import BuildSheet

Files = tuple[tuple[str, bytes | str], ...]


def label_files(job: Job, sheet: BuildSheet) -> Files:
    """`labels.pdf`, at the size of the job's paper; nothing where nothing is built."""
    papers = label_papers(job, stickers(job, sheet))
    if not papers:
        return ()
    return (("labels.pdf", pages_pdf(papers, say("labels"))),)


def piece_files(job: Job, sheet: BuildSheet) -> Files:
    """`piece-NAME.svg` and `.dxf` of every kind of piece; the DXF measures what a tape would."""
    found: list[tuple[str, bytes | str]] = []
    for number, piece in enumerate(sheet.sheets, 1):
        drawn = piece_drawing(job, piece)
        if drawn is None:
            continue
        paper, scale = drawn
        name = f"piece-{number}-{_file(piece.piece)}"
        found += [(f"{name}.svg", paper.svg()), (f"{name}.dxf", paper.dxf(job.units, scale))]
    return tuple(found)


def _file(name: str) -> str:
    """A name that every file system takes."""
    return "-".join("".join(c if c.isalnum() else " " for c in name).split())
