"""Lists to choose from; the room as it was understood; what a change of the job's file did."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.job import Job, room_facts
from roomcheck.report.render.blocks import Align, Block, Bullets, Table, Text
from roomcheck.report.render.terminal import text_of
from roomcheck.words import Reader, say, sentence, sentences

Blocks = tuple[Block, ...]

SCREEN_LINES = 40
"""A list that nobody asked for in full is no longer. [lines]"""

Rows = Sequence[tuple[str, ...]]


def list_blocks(what: str, rows: Rows, searched: str, *, everything: bool = True) -> Blocks:
    """Show the rows of a list under its heads; say so where nothing fits the search.

    Without `everything`, as many rows as a screen holds, and how many more there are.
    """
    if not rows:
        return (Text(body=say("nothing_listed", what=what, search=searched)),)
    shown = len(rows)
    whole = _listed(what, rows)
    while not everything and _lines(whole) > SCREEN_LINES:
        shown -= max((_lines(whole) - SCREEN_LINES) // 3, 1)
        more = Text(body=say("more_listed", shown=shown, total=len(rows), what=what))
        whole = (*_listed(what, rows[:shown]), more)
    return whole


def _lines(blocks: Blocks) -> int:
    return text_of(blocks).count("\n") + 1


def _listed(what: str, rows: Rows) -> Blocks:
    heads = tuple(say(f"heads_{what}").split("|"))
    wide = len(heads) - 1
    left: Align = "left"
    align = (left,) * len(heads)
    table = Table(heads=heads, rows=tuple(rows), align=align, wide=wide)
    return (table, Text(body=say(f"use_{what}")))


def room_blocks(job: Job) -> tuple[Block, ...]:
    """Say what the room is by what was typed, and what is odd about it."""
    reader = Reader(units=job.units)
    room, *odd = room_facts(job)
    blocks: list[Block] = [Text(lead=say("room_lead"), body=f"{sentence(room, reader)}.")]
    if odd:
        blocks.append(Bullets(items=sentences(odd, reader)))
    return tuple(blocks)


def changed_blocks(job: Job, way: str, was: str | None, now: str | None) -> tuple[Block, ...]:
    """Say what a value was and is, and what the room is now."""
    values = [say("nothing_there") if value is None else f"“{value}”" for value in (was, now)]
    changed = say("value_changed", way=way, was=values[0], now=values[1], folder=job.folder)
    return (Text(body=changed), *room_blocks(job))


def undone_blocks(job: Job, *, earlier: bool, later: bool) -> tuple[Block, ...]:
    """Say that the file is back, and which way one can still go."""
    ways = [say("undo_more")] * earlier + [say("redo_more")] * later
    return (Text(body=" ".join([say("undone"), *ways])), *room_blocks(job))
