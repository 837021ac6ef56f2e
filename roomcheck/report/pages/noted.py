"""Hours that were noted, and what was found behind the walls: for the shop and on record."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from roomcheck.job import Done, Job
from roomcheck.report.pages.parts import blocks
from roomcheck.report.render.blocks import Block, Bullets, Heading, Table, Text
from roomcheck.words import NONE, Reader, found_text, hours, say, sentence, size
from roomcheck.workshop import BuildSheet, HangingLine, Refusal, taken_hours, work_hours

_SAME_M = 5e-4


def hours_blocks(job: Job, sheet: BuildSheet, done: Done) -> tuple[Block, ...]:
    """Planned hours beside those noted, every note, and what the shop's file could take up."""
    return blocks(
        Heading(text=say("hours_title")),
        _table(job, sheet, done),
        _clocks(done),
        _notes(done),
        _offers(job, sheet, done),
    )


def _table(job: Job, sheet: BuildSheet, done: Done) -> Table:
    reader = Reader("contractor", job.units)
    works = work_hours(sheet, done)
    rows = [
        (
            work.piece or say("hours_site"),
            sentence(work.work, reader),
            hours(work.planned),
            hours(work.noted) if work.noted else NONE,
        )
        for work in works
    ]
    planned = sum((work.planned for work in works), Decimal(0))
    noted = sum((one.hours for one in done.hours if not one.taken_back), Decimal(0))
    rows.append((say("hours_total"), "", hours(planned), hours(noted)))
    return Table(
        heads=tuple(map(say, ("head_item", "head_work", "head_planned", "head_noted"))),
        rows=tuple(rows),
        align=("left", "left", "right", "right"),
        wide=1,
        strong=(len(rows) - 1,),
    )


def _clocks(done: Done) -> tuple[Block, ...]:
    texts = [
        say(
            "hours_running",
            work=clock.work,
            piece=clock.piece or say("hours_site"),
            since=clock.since,
            by=clock.by or say("hours_nobody"),
        )
        for clock in done.clocks
    ]
    return tuple(Text(body=text) for text in texts)


def _notes(done: Done) -> tuple[Block, ...]:
    if not done.hours:
        return (Text(body=say("hours_none")),)
    rows = [
        (
            f"{one.number}",
            one.piece or say("hours_site"),
            one.work,
            hours(one.hours) if not one.taken_back else say("hours_taken_back"),
            one.by or NONE,
            one.when or NONE,
        )
        for one in done.hours
    ]
    heads = ("head_number", "head_item", "head_work", "head_hours", "head_by", "head_when")
    table = Table(
        heads=tuple(map(say, heads)),
        rows=tuple(rows),
        align=("right", "left", "left", "right", "left", "left"),
        wide=2,
    )
    return (Heading(text=say("hours_notes"), level=2), table)


def _offers(job: Job, sheet: BuildSheet, done: Done) -> tuple[Block, ...]:
    texts = [
        say(
            "hours_take_up",
            piece=taken.piece,
            noted=hours(taken.noted_each),
            planned=hours(taken.planned_each),
            job=job.folder.name,
        )
        for taken in taken_hours(sheet, done)
        if taken.noted_each != taken.planned_each
    ]
    return tuple(Text(body=text) for text in texts)


def found_blocks(job: Job, lines: Sequence[HangingLine] = ()) -> tuple[Block, ...]:
    """Everything that was found behind the walls, and what it does to the pieces there."""
    reader = Reader("contractor", job.units)
    if not job.found:
        return (Text(body=say("found_none")),)
    items = [
        say("found_numbered", number=one.number, face=one.face, text=found_text(one, reader))
        for one in job.found
    ]
    return blocks(
        Heading(text=say("behind_title")), Bullets(items=tuple(items)), _done_to(job, lines)
    )


def found_on(job: Job, face: str) -> tuple[Block, ...]:
    """What was found behind one wall, for its sheet; nothing where nothing was."""
    reader = Reader("contractor", job.units)
    texts = [found_text(one, reader) for one in job.found if one.face == face]
    return (Text(lead=say("found_here"), body="; ".join(texts), small=True),) if texts else ()


def found_record(job: Job, lines: Sequence[HangingLine]) -> tuple[Block, ...]:
    """The same for the job's last page: nothing where nothing was found."""
    if not job.found:
        return ()
    _, *rest = found_blocks(job, lines)
    return (Heading(text=say("found_on_site"), level=2), *rest)


def _done_to(job: Job, lines: Sequence[HangingLine]) -> tuple[Block, ...]:
    """Pieces that hang elsewhere for what was found, or must not hang at all."""
    faces = {one.face for one in job.found}
    texts = []
    for line in lines:
        if line.face not in faces:
            continue
        if abs(line.moved_m) > _SAME_M:
            side = "off_right" if line.moved_m > 0 else "off_left"
            off = say(side, size=size(abs(line.moved_m), job))
            texts.append(say("found_moved", name=line.name, side=off))
        if any(refusal.kind is Refusal.FOUND_BEHIND for refusal in line.refused):
            texts.append(say("found_stopped", name=line.name))
    return (Text(body=" ".join(texts)),) if texts else ()
