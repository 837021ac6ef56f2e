"""The shop of one job: what to buy, cut, glue, build and load, a line at a time, and its hours."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from roomcheck.errors import RoomcheckError
from roomcheck.job import (
    Clock,
    Done,
    Job,
    NotedHours,
    ShopMaterial,
    Tick,
    TickList,
    hours_of,
    keep_build_hours,
    note_hours,
    set_tick,
    start_clock,
    stop_clock,
    take_back_hours,
)
from roomcheck.report import (
    GluePanel,
    GlueRow,
    Ticket,
    bar_lines,
    glue_panels,
    html_blocks,
    piece_reading,
    tickets,
)
from roomcheck.words import Reader, hours, quantity, say, sentence
from roomcheck.workshop import BuildSheet, PieceHours, PieceSheet, Purchase, taken_hours, work_hours

TABS = {
    "buy": "Buy",
    "rack": "Take",
    "cut": "Cut",
    "glue": "Glue",
    "build": "Build",
    "load": "Load",
    "hours": "Hours",
}
_AISLES = {
    "Wood and board": (
        ShopMaterial.STICK,
        ShopMaterial.BOARD,
        ShopMaterial.SLAT,
        ShopMaterial.PLYWOOD,
    ),
    "Wool and cloth": (ShopMaterial.CORE, ShopMaterial.FABRIC, ShopMaterial.FELT),
}
"""Where things are bought whose supplier nobody named."""
_HARDWARE = "Hardware, glue and finish"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line to tick."""

    list: TickList
    item: str
    words: str
    more: str = ""
    tick: Tick | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Lines under one title."""

    title: str
    lines: tuple[Line, ...]
    html: str = ""
    """What is read before they are done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tab:
    """One list of the shop, with how much of it is done."""

    key: str
    label: str
    done: int = 0
    of: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class OneTicket:
    """The setting that is cut now."""

    ticket: Ticket
    tick: Tick | None
    number: int
    """From 1."""
    of: int
    bars: tuple[Line, ...]
    """What it is cut from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OneRow:
    """The row that is glued now."""

    panel: GluePanel
    row: GlueRow
    tick: Tick | None
    names: tuple[tuple[str, int, int], ...]
    """Every panel: its name, rows glued, rows in all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HoursRow:
    """One work with its hours."""

    piece: str
    work: str
    key: str
    planned: str
    noted: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopPage:
    """All that the page shows of the list that is open."""

    tab: str
    tabs: tuple[Tab, ...]
    groups: tuple[Group, ...] = ()
    ticket: OneTicket | None = None
    row: OneRow | None = None
    works: tuple[HoursRow, ...] = ()
    clocks: tuple[Clock, ...] = ()
    notes: tuple[NotedHours, ...] = ()
    offers: tuple[PieceHours, ...] = ()
    """What one piece took, where it is not as planned: for the shop's file, on request."""


def shop_page(
    job: Job, sheet: BuildSheet, done: Done, tab: str = "", at: str = "", panel: str = ""
) -> ShopPage:
    """The shop's page.

    Parameters
    ----------
    tab : str
        Key of the list; the first one that is open where it names none.
    at : str
        Number of a ticket or row to look at; the first open one where it names none.
    panel : str
        Name of the panel that is glued.
    """
    lines = _lines(job, sheet, done)
    tabs = tuple(_tabs(lines, sheet))
    keys = [one.key for one in tabs]
    tab = tab if tab in keys else next((t.key for t in tabs if t.done < t.of), keys[0])
    page = ShopPage(tab=tab, tabs=tabs)
    if tab == "cut":
        return replace(page, ticket=_ticket(job, sheet, done, at))
    if tab == "glue":
        return replace(page, row=_row(job, sheet, done, panel, at))
    if tab == "hours":
        return _hours(job, sheet, done, page)
    if tab == "build":
        return replace(page, groups=tuple(_building(job, sheet, done)))
    return replace(page, groups=tuple(_grouped(lines[tab])))


Lines = Mapping[str, Sequence[tuple[str, Line]]]
"""Lines with their group's title, by the list."""


def _lines(job: Job, sheet: BuildSheet, done: Done) -> Lines:
    """Every line that can be ticked, by the tab that it stands on."""
    reader = Reader("contractor", job.units)
    bought = [(_aisle(p), _bought(p, done)) for p in sheet.purchases]
    cuts = [(t.stock, _tickable(t.list, t.item, "", done)) for t in tickets(job, sheet)]
    glued = [
        (panel.name, _tickable("row", row.item, "", done))
        for panel in glue_panels(job, sheet)
        for row in panel.rows
    ]
    steps = [
        (piece.piece, _step(piece, step, reader, done))
        for piece in sheet.sheets
        for step in piece.steps
    ]
    packed = [
        ("For the van", _tickable("van", str(one), sentence(one, reader), done))
        for one in sheet.pick_list
    ]
    return {
        "buy": bought,
        "rack": list(_taken(job, sheet, done)),
        "cut": cuts,
        "glue": glued,
        "build": steps,
        "load": packed,
    }


def _tickable(name: TickList, item: str, words: str, done: Done, more: str = "") -> Line:
    return Line(list=name, item=item, words=words, more=more, tick=done.tick(name, item))


def _bought(purchase: Purchase, done: Done) -> Line:
    packs = f"{purchase.packs} × {quantity(purchase.pack)} {purchase.unit}"
    more = say("with_reserve", packs=packs, reserve=purchase.reserve) if purchase.reserve else packs
    item = f"{purchase.item}, {purchase.packs} x {quantity(purchase.pack)} {purchase.unit}"
    return _tickable("buy", item, purchase.item, done, more)


def _aisle(purchase: Purchase) -> str:
    """The supplier, or what kind of shop has it where the shop's file names none."""
    if purchase.supplier:
        return purchase.supplier
    return next((k for k, kinds in _AISLES.items() if purchase.material in kinds), _HARDWARE)


def _taken(job: Job, sheet: BuildSheet, done: Done) -> Iterator[tuple[str, Line]]:
    """Offcuts from the rack first, then the bars that are bought, and what is cut of each."""
    for bar in bar_lines(job, sheet):
        title = "Offcuts from the rack" if bar.list == "rack" else bar.stock
        words = f"{bar.stock}: {bar.bar}" if bar.list == "rack" else bar.bar
        more = f"{bar.parts}; {bar.left} left" if bar.left else bar.parts
        yield title, _tickable(bar.list, bar.item, words, done, more)


def _step(piece: PieceSheet, step: object, reader: Reader, done: Done) -> Line:
    words = sentence(step, reader)  # type: ignore[arg-type]
    return _tickable("step", f"{piece.piece}, {len(piece.names)}: {step}", words, done)


def _tabs(lines: Lines, sheet: BuildSheet) -> Iterator[Tab]:
    for key, label in TABS.items():
        if key == "hours":
            yield Tab(key=key, label=label)
        elif lines[key]:
            ticked = sum(line.tick is not None for _, line in lines[key])
            yield Tab(key=key, label=label, done=ticked, of=len(lines[key]))


def _grouped(lines: Sequence[tuple[str, Line]]) -> Iterator[Group]:
    titles = dict.fromkeys(title for title, _ in lines)
    for title in titles:
        yield Group(title=title, lines=tuple(line for t, line in lines if t == title))


def _building(job: Job, sheet: BuildSheet, done: Done) -> Iterator[Group]:
    reader = Reader("contractor", job.units)
    for piece in sheet.sheets:
        title = f"{len(piece.names)} × {piece.piece}: {', '.join(piece.names)}"
        yield Group(
            title=title,
            lines=tuple(_step(piece, step, reader, done) for step in piece.steps),
            html=html_blocks(piece_reading(job, piece, sheet.hanging)),
        )


def _chosen(at: str, open_ones: Sequence[bool]) -> int:
    """Place of what is looked at, from 0: as asked, else the first that is open, else the last."""
    if at.isascii() and at.isdecimal() and 1 <= int(at) <= len(open_ones):
        return int(at) - 1
    return open_ones.index(True) if True in open_ones else len(open_ones) - 1


def _ticket(job: Job, sheet: BuildSheet, done: Done, at: str) -> OneTicket | None:
    every = tickets(job, sheet)
    if not every:
        return None
    ticks = [done.tick(one.list, one.item) for one in every]
    place = _chosen(at, [tick is None for tick in ticks])
    ticket = every[place]
    bars = [line for stock, line in _bars_of(job, sheet, done) if stock == ticket.stock]
    return OneTicket(
        ticket=ticket, tick=ticks[place], number=place + 1, of=len(every), bars=tuple(bars)
    )


def _bars_of(job: Job, sheet: BuildSheet, done: Done) -> Iterator[tuple[str, Line]]:
    for bar in bar_lines(job, sheet):
        yield bar.stock, _tickable(bar.list, bar.item, bar.bar, done, bar.parts)


def _row(job: Job, sheet: BuildSheet, done: Done, name: str, at: str) -> OneRow | None:
    panels = glue_panels(job, sheet)
    if not panels:
        return None
    counts = [(p, sum(done.has("row", row.item) for row in p.rows)) for p in panels]
    unglued = (panel for panel, glued in counts if glued < len(panel.rows))
    first = next(unglued, panels[-1])
    panel = next((panel for panel in panels if panel.name == name), first)
    ticks = [done.tick("row", row.item) for row in panel.rows]
    place = _chosen(at, [tick is None for tick in ticks])
    names = tuple((panel.name, glued, len(panel.rows)) for panel, glued in counts)
    return OneRow(panel=panel, row=panel.rows[place], tick=ticks[place], names=names)


def _hours(job: Job, sheet: BuildSheet, done: Done, page: ShopPage) -> ShopPage:
    reader = Reader("contractor", job.units)
    works = [
        HoursRow(
            piece=work.piece,
            work=sentence(work.work, reader),
            key=work.key,
            planned=hours(work.planned),
            noted=hours(work.noted),
        )
        for work in work_hours(sheet, done)
    ]
    offers = [one for one in taken_hours(sheet, done) if one.noted_each != one.planned_each]
    return replace(
        page,
        works=tuple(works),
        clocks=done.clocks,
        notes=tuple(reversed(done.hours)),
        offers=tuple(offers),
    )


# --- what a form does

Form = Mapping[str, str]


def stamped(now: datetime) -> str:
    """Day and time as progress keeps them."""
    return now.isoformat(sep=" ", timespec="minutes")


def tick(folder: Path, form: Form, by: str, now: datetime) -> None:
    """Tick a line, or take its tick away."""
    name, item, on = form.get("list", ""), form.get("item", ""), form.get("on") == "1"
    set_tick(folder, name, item, on=on, by=by, when=stamped(now))


def start(folder: Path, form: Form, by: str, now: datetime) -> None:
    start_clock(folder, form.get("piece", ""), form.get("work", ""), by=by, now=now)


def stop(folder: Path, form: Form, _by: str, now: datetime) -> None:
    """Stop a clock, whoever's it is; with the hours that it took where they are typed."""
    typed = form.get("hours", "").strip()
    taken = hours_of(typed) if typed else None
    names = (form.get("piece", ""), form.get("work", ""))
    stop_clock(folder, *names, by=form.get("whose", ""), now=now, hours=taken)


def note(folder: Path, form: Form, by: str, now: datetime) -> None:
    """Keep hours that were typed."""
    piece, _, work = form.get("what", "").rpartition("|")
    if not work:
        raise RoomcheckError("which work? Choose it first")
    note_hours(folder, piece, work, hours_of(form.get("hours", "")), by=by, when=stamped(now))


def back(folder: Path, form: Form, _by: str, _now: datetime) -> None:
    """Take hours out that were typed by mistake, or put them back."""
    number = form.get("number", "")
    if not (number.isascii() and number.isdecimal()):
        raise RoomcheckError("which hours? Choose them first")
    take_back_hours(folder, int(number), back=form.get("back") != "0")


def learn(job: Job, sheet: BuildSheet, done: Done, form: Form) -> str:
    """Write what one piece took into the shop's file, as the one question asked."""
    for taken in taken_hours(sheet, done):
        if taken.piece == form.get("piece"):
            name = job.folder.absolute().name
            source = say("hours_why", job=name, count=taken.count)
            file = keep_build_hours(job, taken.piece, taken.noted_each, source)
            each = hours(taken.noted_each)
            return say("hours_kept_in_shop", piece=taken.piece, hours=each, file=file.name)
    raise RoomcheckError("each of its works needs hours first, and no clock that runs")
