"""progress/done.toml: what is ticked in the shop and on site, and the hours that went into it."""

from __future__ import annotations

import re
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any, cast, get_args

from roomcheck.errors import RoomcheckError
from roomcheck.job.model.progress import Clock, Done, NotedHours, Tick, TickList
from roomcheck.job.progress.files import (
    FOLDER,
    add_table,
    change_file,
    drop_table,
    each,
    read_tables,
)
from roomcheck.job.toml.reader import TomlTable
from roomcheck.job.toml.values import meant, shown

NAME = "done.toml"
LONGEST_H = Decimal(12)
"""A clock that ran longer was forgotten: nobody knows how long the work took. [h]"""
MOST_H = Decimal(100)
"""Hours of one note: more are a slip of the finger. [h]"""
_HEAD = """\
# What is ticked in the shop and on site, and the hours that went into it.
"""
_HUNDREDTH = Decimal("0.01")
LISTS: tuple[str, ...] = get_args(TickList)


class NotNoted(RoomcheckError):
    """Hours or a tick that cannot be kept as they were typed."""


class ClockForgotten(NotNoted):
    """A clock that nobody stopped."""

    def __init__(self, clock: Clock, hours: Decimal) -> None:
        self.clock, self.hours = clock, hours
        super().__init__(
            f"the clock has run since {clock.since}, {hours} h: it was forgotten. Say how many "
            "hours the work took"
        )


def read_done(folder: Path) -> Done:
    """All that was ticked and noted; nothing where there is no file.

    Raises
    ------
    FileMistakes, CannotRead, NewerFile
    """
    return read_tables(folder / FOLDER / NAME, _read) or Done()


def _read(top: TomlTable) -> Done:
    numbers = iter(range(1, 1 << 30))
    return Done(
        ticks=each(top, "tick", _tick),
        hours=each(top, "hours", lambda table: _hours(table, next(numbers))),
        clocks=each(top, "clock", _clock),
    )


def _tick(table: TomlTable) -> Tick:
    return Tick(
        list=cast(TickList, table.choice("list", LISTS)),
        item=table.text("item"),
        by=table.text("by", ""),
        when=table.text("when", ""),
    )


def _hours(table: TomlTable, number: int) -> NotedHours:
    noted = NotedHours(
        number=number,
        piece=table.text("piece", ""),
        work=table.text("work", example="frame"),
        hours=table.exact("hours", what="hours", example="1.5"),
        by=table.text("by", ""),
        when=table.text("when", ""),
        taken_back=table.flag("taken_back", False),
    )
    if not table.spoiled and not 0 < noted.hours <= MOST_H:
        table.note("hours", f"`hours` is {noted.hours}; above 0, and {MOST_H} at most")
    return noted


def _clock(table: TomlTable) -> Clock:
    clock = Clock(
        piece=table.text("piece", ""),
        work=table.text("work", example="frame"),
        by=table.text("by", ""),
        since=table.text("since", example="2026-05-04T09:30"),
    )
    if not table.spoiled and _moment(clock.since) is None:
        table.note("since", f'`since` is {shown(clock.since)}; such as "2026-05-04T09:30"')
    return clock


def _moment(text: str) -> datetime | None:
    try:
        return datetime.fromisoformat(text).replace(tzinfo=None)
    except ValueError:
        return None


def set_tick(folder: Path, name: str, item: str, *, on: bool, by: str = "", when: str = "") -> None:
    """Tick a line of a list, or take its tick away; a line that stands so already stays.

    Raises
    ------
    NotNoted
        There is no such list.
    FileMistakes, FileChanged, CannotRead, CannotWrite, FolderIsHeld
        The file; nothing is written.
    """
    if name not in LISTS or not item.strip():
        raise NotNoted(f"nothing is ticked on a list {shown(name)}; {meant(name, list(LISTS))}")

    def change(document: Any) -> None:
        tables = document.get("tick", [])
        same = [i for i, t in enumerate(tables) if (t.get("list"), t.get("item")) == (name, item)]
        if on and not same:
            add_table(document, "tick", list=name, item=item, by=by, when=when)
        if not on:
            for i in reversed(same):
                drop_table(document, "tick", i)

    change_file(folder, NAME, _HEAD, change)


def hours_of(text: str) -> Decimal:
    """Hours as people type them. [h]

    >>> hours_of("1.5"), hours_of("1:45"), hours_of("90 min"), hours_of("2,25 h")
    (Decimal('1.50'), Decimal('1.75'), Decimal('1.50'), Decimal('2.25'))
    """
    typed = text.strip().replace(",", ".")
    clock = re.fullmatch(r"(\d{1,3}):([0-5]\d)(?:\s*h)?", typed, re.A)
    minutes = re.fullmatch(r"(\d{1,4})\s*min(?:utes)?", typed, re.A)
    plain = re.fullmatch(r"(\d{1,3}(?:\.\d{1,4})?|\.\d{1,4})(?:\s*h(?:ours)?)?", typed, re.A)
    if clock:
        hours = int(clock[1]) + Decimal(int(clock[2])) / 60
    elif minutes:
        hours = Decimal(int(minutes[1])) / 60
    elif plain:
        hours = Decimal(plain[1])
    else:
        raise NotNoted(f"{shown(text)} is no time; write 1.5, 1:30 or 90 min")
    hours = hours.quantize(_HUNDREDTH, rounding=ROUND_HALF_UP)
    if not 0 < hours <= MOST_H:
        raise NotNoted(f"{shown(text)}: above 0, and {MOST_H} h at most at a time")
    return hours


def note_hours(
    folder: Path, piece: str, work: str, hours: Decimal, *, by: str = "", when: str = ""
) -> None:
    """Keep hours that somebody worked.

    Raises
    ------
    FileMistakes, FileChanged, CannotRead, CannotWrite, FolderIsHeld
    """

    def change(document: Any) -> None:
        add_table(
            document, "hours", piece=piece, work=work, hours=f"{hours}", by=by, when=when
        )  # fmt: skip

    change_file(folder, NAME, _HEAD, change)


def take_back_hours(folder: Path, number: int, *, back: bool = True) -> None:
    """Take hours out that were typed by mistake, or put them back; they stay on record.

    Raises
    ------
    NotNoted
        There are none of that number.
    """

    def change(document: Any) -> None:
        tables = document.get("hours", [])
        if not 1 <= number <= len(tables):
            raise NotNoted(f"there are no hours of number {number}; there are {len(tables)}")
        if back:
            tables[number - 1]["taken_back"] = True
        else:
            tables[number - 1].pop("taken_back", None)

    change_file(folder, NAME, _HEAD, change)


def start_clock(folder: Path, piece: str, work: str, *, by: str, now: datetime) -> None:
    """Start the clock of one work; whoever has one running already is asked to stop it first.

    Raises
    ------
    NotNoted
    """

    def change(document: Any) -> None:
        for clock in document.get("clock", []):
            if clock.get("by", "") == by:
                doing = f"{clock.get('work', '')}, {clock.get('piece', '')}"
                raise NotNoted(f"a clock of yours runs already: {doing}. Stop it first")
        since = now.isoformat(timespec="minutes")
        add_table(document, "clock", piece=piece, work=work, by=by, since=since)

    change_file(folder, NAME, _HEAD, change)


def stop_clock(
    folder: Path, piece: str, work: str, *, by: str, now: datetime, hours: Decimal | None = None
) -> Decimal:
    """Stop a clock and keep its hours. [h]

    Parameters
    ----------
    hours : Decimal or None
        How long it took, where the clock was forgotten; 0 throws it away.

    Raises
    ------
    ClockForgotten
        It ran longer than anybody works, and nobody says how long it took.
    NotNoted
        No such clock runs.
    """

    def change(document: Any) -> Decimal:
        for i, table in enumerate(document.get("clock", [])):
            clock = Clock(
                piece=str(table.get("piece", "")),
                work=str(table.get("work", "")),
                by=str(table.get("by", "")),
                since=str(table.get("since", "")),
            )
            if (clock.piece, clock.work, clock.by) == (piece, work, by):
                taken = _taken(clock, now) if hours is None else hours
                drop_table(document, "clock", i)
                if taken > 0:
                    when = now.isoformat(sep=" ", timespec="minutes")
                    add_table(
                        document,
                        "hours",
                        piece=piece,
                        work=work,
                        hours=f"{taken}",
                        by=by,
                        when=when,
                    )
                return taken
        raise NotNoted("that clock does not run; somebody stopped it")

    return change_file(folder, NAME, _HEAD, change)


def _taken(clock: Clock, now: datetime) -> Decimal:
    since = _moment(clock.since)
    if since is None:
        raise NotNoted(f"the clock began at {shown(clock.since)}, which is no time")
    seconds = Decimal(int((now - since).total_seconds()))
    hours = (seconds / 3600).quantize(_HUNDREDTH, rounding=ROUND_HALF_UP)
    if not 0 <= hours <= LONGEST_H:
        raise ClockForgotten(clock, hours)
    return hours
