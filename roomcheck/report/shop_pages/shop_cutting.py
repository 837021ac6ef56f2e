"""The saw's pages: cut tickets, bars, sheets, fabric, what goes back on the rack."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby

from roomcheck import workshop
from roomcheck.facts import fact
from roomcheck.job import Job, Offcut
from roomcheck.report.pages.parts import blocks
from roomcheck.report.render.blocks import Align, Block, CautionBox, Heading, NewPage, Table, Text
from roomcheck.words import Reader, by, say, say_to, sentence, sentences, size
from roomcheck.workshop import BuildSheet, FabricPlan, MaterialPlan, Part, Rip, SawSetup, SheetPlan

ARMS_PT = 11.5
"""Letters that are read at the saw, at arm's length. [pt]"""


def cutting_pages(job: Job, sheet: BuildSheet) -> tuple[Block, ...]:
    """Everything that is sawn or cut, by stock."""
    if not (sheet.cutting or sheet.panels or sheet.fabrics):
        return ()
    return blocks(
        NewPage(),
        Heading(text=say("tickets")),
        Text(body=say_to(Reader(units=job.units), "tickets_say")),
        CautionBox(title=say("caution"), items=_cautions(job)),
        _stocks(job, sheet),
        _panels(job, sheet),
        _fabrics(job, sheet),
        _leftovers(job, sheet),
    )


def _stocks(job: Job, sheet: BuildSheet) -> tuple[Block, ...]:
    """Saw settings and bars of each stick and board."""
    pages: list[Block] = []
    for plan in sheet.cutting:
        setups = tuple(setup for setup in sheet.setups if setup.stock == plan.item)
        pages += _stock(job, plan, setups)
    return tuple(pages)


def _panels(job: Job, sheet: BuildSheet) -> tuple[Block, ...]:
    """Rips and crosscuts of each sheet material."""
    if not sheet.panels:
        return ()
    pages: list[Block] = [
        Heading(text=say("rips"), level=2),
        Text(body=say("rips_say"), small=True),
    ]
    for panel in sheet.panels:
        pages += _rips(job, panel)
    return tuple(pages)


def _fabrics(job: Job, sheet: BuildSheet) -> tuple[Block, ...]:
    """Rows along the roll of each fabric."""
    if not sheet.fabrics:
        return ()
    pages: list[Block] = [Heading(text=say("cloth"), level=2)]
    for fabric in sheet.fabrics:
        pages += _fabric(job, fabric)
    return tuple(pages)


def _leftovers(job: Job, sheet: BuildSheet) -> tuple[Block, ...]:
    """What goes back on the rack."""
    if not sheet.leftovers:
        return ()
    return (
        Heading(text=say("rack"), level=2),
        Text(body=say("rack_says"), small=True),
        _rack(job, sheet),
    )


def _cautions(job: Job) -> tuple[str, ...]:
    kinds = workshop.Caution.SAW, workshop.Caution.DUST
    return sentences(map(fact, kinds), Reader("contractor", job.units))


def share_text(job: Job, piece: str, part: Part, count: int) -> str:
    """What one piece has of the parts that are cut at one setting."""
    return f"{count} {sentence(fact(part), Reader('contractor', job.units))}, {piece}"


def _stock(job: Job, material: MaterialPlan, setups: tuple[SawSetup, ...]) -> list[Block]:
    rules = material.plan.rules
    hold = say("bars_hold", hold=size(rules.hold_m, job)) if rules.hold_m else ""
    allowance = say(
        "bars_say", trim=size(rules.trim_m, job), kerf=size(rules.kerf_m, job), hold=hold
    )
    proved = say("bars_proved" if material.plan.proved else "bars_open")
    return [
        Heading(text=material.item, level=2),
        _tickets(job, setups),
        _bars(job, material),
        Text(body=f"{allowance} {proved}", small=True),
    ]


def _tickets(job: Job, setups: tuple[SawSetup, ...]) -> Table:
    rows = []
    for setup in setups:
        shares = "; ".join(share_text(job, *share) for share in setup.parts)
        rows.append(("☐", size(setup.stop_m, job), str(setup.count), shares))
    return Table(
        heads=(say("head_done"), say("head_stop"), say("head_count"), say("head_for")),
        rows=tuple(rows),
        align=("center", "right", "right", "left"),
        wide=3,
        size_pt=ARMS_PT,
    )


def bar_text(job: Job, bar: workshop.CutBar) -> str:
    text = f"{bar.count} × {size(bar.length_m, job)}"
    return f"{text}, {say('offcut')}" if bar.offcut else text


def _bars(job: Job, material: MaterialPlan) -> Table:
    rows = []
    for bar in material.plan.bars:
        parts = ", ".join(f"{count} × {size(part, job)}" for part, count in bar.parts)
        rows.append(("☐", bar_text(job, bar), parts, size(bar.left_m, job)))
    return Table(
        heads=(say("head_done"), say("head_bars"), say("head_parts"), say("head_left_over")),
        rows=tuple(rows),
        align=("center", "left", "left", "right"),
        wide=2,
        size_pt=ARMS_PT,
    )


def _rips(job: Job, panel: SheetPlan) -> list[Block]:
    rows = []
    for numbers, strips in sheets_alike(panel):
        for rip, count in strips:
            fence = f"{count} × {size(rip.width_m, job)}"
            crosscuts = counted_texts([crosscut_text(job, rip.width_m, part) for part in rip.parts])
            rows.append(("☐", numbers, fence, crosscuts))
    heads = (say("head_done"), say("head_sheet"), say("head_fence"), say("head_crosscuts"))
    sheets = f"{panel.sheets} × {by(panel.width_m, panel.length_m, job)}"
    align: tuple[Align, ...] = ("center", "left", "right", "left")
    table = Table(heads=heads, rows=tuple(rows), align=align, wide=3, size_pt=ARMS_PT)
    return [Heading(text=f"{panel.item}: {sheets}", level=3), table]


def sheets_alike(panel: SheetPlan) -> list[tuple[str, list[tuple[Rip, int]]]]:
    """Sheets that are cut alike, together: their numbers, and their strips with how many there are
    of each."""
    cut: dict[int, list[Rip]] = {}
    for rip in (rip for rip in panel.rips if not rip.offcut):
        cut.setdefault(rip.sheet, []).append(replace(rip, sheet=0))
    alike: dict[tuple[Rip, ...], list[int]] = {}
    for sheet, rips in sorted(cut.items()):
        alike.setdefault(tuple(rips), []).append(sheet)
    spans_and_strips = []
    for together, sheets in alike.items():
        strips = [(rip, len(list(same))) for rip, same in groupby(together)]
        spans_and_strips.append((_spans(sheets), strips))
    reused = [rip for rip in panel.rips if rip.offcut]
    for number in sorted({rip.sheet for rip in reused}):
        here = [replace(rip, sheet=0) for rip in reused if rip.sheet == number]
        strips = [(rip, len(list(same))) for rip, same in groupby(here)]
        spans_and_strips.append((say("from_rack", number=number), strips))
    return spans_and_strips


def _spans(numbers: list[int]) -> str:
    """Whole numbers, runs of them from first to last.

    >>> _spans([1, 2, 3, 5])
    '1–3, 5'
    """
    runs: list[list[int]] = []
    for n in numbers:
        if runs and n == runs[-1][-1] + 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    texts = []
    for first, *rest in runs:
        texts.append(f"{first}–{rest[-1]}" if rest else str(first))
    return ", ".join(texts)


def counted_texts(texts: list[str]) -> str:
    """Equal neighbours together: "2 × 46 3/8", 3 × 3"."""
    runs = []
    for text, same in groupby(texts):
        count = len(list(same))
        runs.append(f"{count} × {text}" if count > 1 else text)
    return ", ".join(runs)


def crosscut_text(job: Job, strip_m: float, part: tuple[float, float]) -> str:
    """A part's length along its strip; its width too where it is narrower than the strip."""
    if abs(part[0] - strip_m) < 1e-6:
        return size(part[1], job)
    return f"{size(part[1], job)} (then {size(part[0], job)} wide)"


def _fabric(job: Job, fabric: FabricPlan) -> list[Block]:
    off_the_roll = say(
        "cloth_says",
        item=fabric.item,
        length=size(fabric.length_m, job),
        roll=size(fabric.roll_m, job),
    )
    rows = []
    for row, same in groupby(fabric.rows):
        along_the_roll = f"{len(list(same))} × {size(row.length_m, job)}"
        side_by_side = counted_texts([by(across, along, job) for across, along in row.pieces])
        rows.append(("☐", along_the_roll, side_by_side))
    heads = (say("head_done"), say("head_along"), say("head_side_by_side"))
    return [
        Text(body=off_the_roll),
        Table(
            heads=heads,
            rows=tuple(rows),
            align=("center", "right", "left"),
            wide=2,
            size_pt=ARMS_PT,
        ),
    ]


def _rack(job: Job, sheet: BuildSheet) -> Table:
    rows = tuple((o.item, _offcut(job, o), str(o.count)) for o in sheet.leftovers)
    heads = (say("head_stock"), say("head_length"), say("head_count"))
    return Table(heads=heads, rows=rows, align=("left", "right", "right"), wide=0)


def _offcut(job: Job, offcut: Offcut) -> str:
    """A bar's length, a sheet's width and length."""
    if offcut.width_m is None:
        return size(offcut.length_m, job)
    return by(offcut.width_m, offcut.length_m, job)
