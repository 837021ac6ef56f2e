"""Wall sheets before anything was measured: every wall as it was typed, and what a person placed on
it."""

from __future__ import annotations

from roomcheck.job import Job
from roomcheck.report.pages.parts import blocks, plan_picture
from roomcheck.report.render.blocks import Block, Document, Heading, Text
from roomcheck.report.render.names import WALL_SHEETS
from roomcheck.report.shop_pages.shop_walls import bare_pages, face_pages, on_cleats
from roomcheck.report.shop_pages.shopsheets import first_cautions
from roomcheck.words import say
from roomcheck.workshop import BuildSheet


def wall_sheets(job: Job, sheet: BuildSheet | None) -> Document:
    """One page or more a wall: studs, openings, clear zones, marks, cleats and screws.

    Parameters
    ----------
    sheet : BuildSheet or None
        Of the pieces that a person placed; None where nothing hangs yet.
    """
    cautions: tuple[Block, ...] = ()
    if sheet is not None:
        cautions = (*first_cautions(job, sheet), *on_cleats(job))
    pages: list[Block] = []
    for face in job.room.faces:
        own = [] if sheet is None else face_pages(job, face, sheet)
        if not own and face.kind == "wall":
            own = bare_pages(job, face)
        pages += own
    return Document(
        name=WALL_SHEETS,
        title=say("walls_title"),
        subtitle=job.title,
        tight=True,
        blocks=blocks(
            Text(body=say("walls_say")),
            cautions,
            Heading(text=say("walls_all")),
            plan_picture(job, positions=False),
            pages,
        ),
    )
