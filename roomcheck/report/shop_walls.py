"""The installer's pages: one a wall, with marks, cleats, screws, rows and what must not be hung."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.build import BuildSheet, HangingLine
from roomcheck.job import Job
from roomcheck.recommend import Plan
from roomcheck.report.blocks import Align, Block, Boxes, Bullets, Caution, Heading, NewPage, Table, Text
from roomcheck.report.data import NONE, by, length, size
from roomcheck.report.parts import elevation, plan_picture
from roomcheck.report.texts import items, say


def wall_pages(job: Job, plan: Plan, sheet: BuildSheet) -> tuple[Block, ...]:
    """Plan, order of work, and every face that carries a piece."""
    if not sheet.hanging:
        return ()
    found: list[Block] = [NewPage(), Heading(text=say("hang")), plan_picture(job, plan.pieces, positions=False)]
    found += [Heading(text=say("order"), level=2), Boxes(items=sheet.order or items("day_items"))]
    hung = {line.face for line in sheet.hanging}
    for face in (face for face in job.room.faces if face.name in hung):
        lines = [line for line in sheet.hanging if line.face == face.name]
        pieces = [p for p in plan.pieces if p.face == face.name]
        wall = face.kind == "wall"
        found += [NewPage(), Heading(text=face.name.capitalize(), level=2)]
        found += [elevation(job, face.name, pieces, framing=True), *_refusals(lines)]
        found += _marks(job, lines) if wall else _overhead(job, lines)
        if wall:
            found += _cleats(job, lines)
        rows = tuple(row for row in sheet.rows if row.startswith(f"{face.name}: "))
        found += [Heading(text=say("rows_title"), level=3), Bullets(items=rows)] if rows else []
        found += _cautions(lines)
        found.append(Text(body=say("deferral"), small=True))
    return tuple(found)


def _refusals(lines: Sequence[HangingLine]) -> list[Block]:
    told = tuple(f"{line.name}: {line.refused}" for line in lines if line.refused)
    return [Caution(title=say("refused"), items=told)] if told else []


def _marks(job: Job, lines: Sequence[HangingLine]) -> list[Block]:
    heads = ("head_done", "head_piece", "head_item", "head_size", "head_left_edge", "head_right_edge", "head_top")
    rows = tuple(
        (
            "☐",
            line.name,
            line.piece,
            by(line.width_m, line.height_m, job),
            length(line.left_m, job),
            NONE if line.right_m is None else length(line.right_m, job),
            length(line.top_m, job),
            _off(job, line),
        )
        for line in lines
    )
    align: tuple[Align, ...] = ("center", "left", "left", "left", "right", "right", "right", "left")
    table = Table(heads=tuple(say(h) for h in (*heads, "head_off_centre")), rows=rows, align=align, wide=7)
    return [Heading(text=say("marks"), level=3), Text(body=say("marks_say"), small=True), table]


def _off(job: Job, line: HangingLine) -> str:
    """Off the wall's middle, and off the nearest door's or window's."""

    def side(off_m: float) -> str:
        if abs(off_m) < 0.0008:
            return say("on_centre")
        return say("off_right" if off_m > 0 else "off_left", size=length(abs(off_m), job))

    told = NONE if line.off_centre_m is None else side(line.off_centre_m)
    return told if line.off_opening_m is None else f"{told}; {line.opening}: {side(line.off_opening_m)}"


def _cleats(job: Job, lines: Sequence[HangingLine]) -> list[Block]:
    on_cleats = [line for line in lines if line.cleat_m is not None]
    if not on_cleats:
        return []
    heads = (
        *("head_done", "head_piece", "head_cleat_line", "head_cleat_from", "head_cleat_long", "head_hook"),
        *("head_slide", "head_studs", "head_screws", "head_depth", "head_ratio"),
    )
    rows = tuple(_cleat(job, line) for line in on_cleats)
    right: tuple[Align, ...] = ("right",) * 5
    align: tuple[Align, ...] = ("center", "left", *right, "left", "left", "right", "right")
    least = job.shop.practice.least_ratio
    return [
        Heading(text=say("cleats"), level=3),
        Table(heads=tuple(say(h) for h in heads), rows=rows, align=align, wide=7),
        Text(body=say("cleats_say", least=f"{least:g}"), small=True),
    ]


def _cleat(job: Job, line: HangingLine) -> tuple[str, ...]:
    def told(value: float | None) -> str:
        return NONE if value is None else length(value, job)

    screws = NONE if not line.screws else f"{line.screws} × {line.screw}"
    return (
        "☐",
        line.name,
        told(line.cleat_m),
        told(line.cleat_left_m),
        told(line.cleat_length_m),
        told(line.hook_m),
        NONE if line.freedom_m is None else f"± {size(line.freedom_m, job)}",
        ", ".join(length(at, job) for at in line.studs_m) or NONE,
        screws,
        NONE if line.into_wood_m is None else size(line.into_wood_m, job),
        NONE if line.load_ratio is None else f"{line.load_ratio:.1f}",
    )


def _overhead(job: Job, lines: Sequence[HangingLine]) -> list[Block]:
    heads = ("head_done", "head_piece", "head_item", "head_size", "head_left_edge", "head_far", "head_joists")
    rows = tuple(
        (
            "☐",
            line.name,
            line.piece,
            by(line.width_m, line.height_m, job),
            length(line.left_m, job),
            length(line.top_m, job),
            ", ".join(length(at, job) for at in line.studs_m) or NONE,
        )
        for line in lines
    )
    align: tuple[Align, ...] = ("center", "left", "left", "left", "right", "right", "left")
    return [
        Text(body=say("hang_ceiling_says"), small=True),
        Table(heads=tuple(say(h) for h in heads), rows=rows, align=align, wide=6),
    ]


def _cautions(lines: Sequence[HangingLine]) -> list[Block]:
    told: dict[str, list[str]] = {}
    for line in lines:
        for caution in line.cautions:
            if not caution.startswith("DO NOT HANG"):
                told.setdefault(caution, []).append(line.name)
    if not told:
        return []
    return [Caution(title=say("caution"), items=tuple(f"{', '.join(names)}: {text}" for text, names in told.items()))]
