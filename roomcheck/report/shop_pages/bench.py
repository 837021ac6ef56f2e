"""Build sheets for pieces without a job."""

from __future__ import annotations

from pathlib import Path

from roomcheck.job import Job, Put, make_folder, write_together
from roomcheck.report.render.files import json_of
from roomcheck.report.render.html import html_of
from roomcheck.report.render.letterhead import letterhead_of
from roomcheck.report.render.typst_page import pdf_of
from roomcheck.report.shop_pages.shop_files import label_files, piece_files
from roomcheck.report.shop_pages.shopsheets import shop_sheets
from roomcheck.workshop import BuildSheet


def bench_sheets(job: Job, sheet: BuildSheet, folder: Path) -> tuple[Path, ...]:
    """PDF, page for a telephone, JSON that holds pattern and row map so that it can be built again,
    labels to print, and every piece as SVG and DXF.

    Raises
    ------
    CannotWrite
        The folder cannot be written.
    """
    document, letterhead = shop_sheets(job, None, sheet), letterhead_of(job)
    files = (
        (".pdf", pdf_of(document, letterhead)),
        (".html", html_of(document, letterhead)),
        (".json", json_of("build-sheet", sheet)),
    )
    make_folder(folder)
    puts = [Put(path=f"{document.name}{suffix}", data=data) for suffix, data in files]
    more = (*label_files(job, sheet), *piece_files(job, sheet))
    puts += [Put(path=name, data=data) for name, data in more]
    return write_together(folder, puts)
