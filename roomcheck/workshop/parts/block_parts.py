"""Block diffusers at the bench."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Any

from roomcheck.facts import fact
from roomcheck.job import ShopMaterial
from roomcheck.units import M_PER_IN
from roomcheck.workshop.kinds import Caution, Note, Part, Side, Step, Surface
from roomcheck.workshop.parts.bench import Bench
from roomcheck.workshop.parts.materials_list import bar_m
from roomcheck.workshop.patterns.blocks import BlockArray
from roomcheck.workshop.patterns.layout import Layout, block_array, lay_out, outside_m
from roomcheck.workshop.patterns.patterns import (
    exposed_area_m2,
    grown_by_moisture_m,
    predicted_diffusion,
    working_range_hz,
)
from roomcheck.workshop.patterns.seams import run_on, seams_of
from roomcheck.workshop.results import BlockCount, Cut, LaidPanel, Stock

_SEEN_M = M_PER_IN / 32
"""A size off by less is no matter at the bench."""
_CARD_ROWS, _CARD_M = 4, 0.0003
"""Rows after which a card is put between blocks, and its thickness (a playing card's, common
practice). [1], [m]"""
_CLAMPED = 16
"""Sticks that are clamped together to be measured."""
_STRIP_M = M_PER_IN / 4
"""A narrower strip is not ripped from sticks."""


def spares(cells: int, pct: int, least: int) -> int:
    """Blocks on top of so many: a share rounded up, and no fewer than the least.

    >>> spares(103, 10, 4), spares(20, 10, 4), spares(0, 10, 4)
    (11, 4, 0)
    """
    return max(-(-cells * pct // 100), least) if cells else 0


def block_parts(bench: Bench) -> dict[str, Any]:
    """Draft block panels; return what their sheet shows beside cuts and steps."""
    piece, practice = bench.piece, bench.practice
    laid, array = lay_out(piece, practice), block_array(piece, practice)
    blocks = tuple(
        BlockCount(
            height_m=height,
            cells=cells * bench.count,
            spares=spares(cells * bench.count, practice.spare_pct, practice.spare_least),
        )
        for height, cells in sorted(array.counts.items(), reverse=True)
        if height > 0
    )
    stick = bench.stock(ShopMaterial.STICK)
    for block in blocks:
        bench.cuts.append(
            Cut(
                part=Part.BLOCK,
                stock=stick,
                count=block.cells + block.spares,
                length_m=block.height_m,
                width_m=array.cell_m,
                note=fact(Note.SPARE, cells=block.cells, spares=block.spares),
            )
        )
    half = bench.plywood(practice.backing_m)
    bench.cut_joined(
        Part.BACKING, half, bench.count, (array.width_m, array.height_m), unit_m=array.cell_m
    )
    _in_place(bench, array)
    panels = _laid(bench, array)
    _steps(bench, array)
    bench.frame(array.width_m, array.height_m, practice.clearance_m)
    bench.cleats()
    bench.cleat_in_place(*outside_m(piece, practice), 0.0)
    fronts, sides = exposed_area_m2(array)
    frame = 2 * bench.board.wide_m * 2 * (array.width_m + array.height_m)
    end_grain = array.blocks * array.cell_m**2
    surfaces = (
        (Surface.FRONTS_AND_BACKING, fronts),
        (Surface.BLOCK_SIDES, sides),
        (Surface.FRAME, frame),
    )
    bench.finish(surfaces, end_grain)
    raw = stick_faces_m2(bench, blocks, stick, array.cell_m) / bench.count
    bench.step(Step.STAIN_STICKS, coat_m2=raw)
    bench.depth_stack(max(array.steps_m))
    _width(bench, array, laid)
    for kind in (Caution.SAW, Caution.DUST, Caution.LIFT, Caution.FINISH):
        bench.caution(kind)
    bench.cautions += array.unmet
    outside = outside_m(piece, practice)
    return {
        "row_map": array.rows,
        "blocks": blocks,
        "laid": panels,
        "pattern": array.pattern,
        "array_width_m": array.width_m,
        "array_height_m": array.height_m,
        "over_width_m": laid.over_width_m,
        "over_height_m": laid.over_height_m,
        "outside_width_m": outside[0],
        "outside_height_m": outside[1],
        "finish_m2": fronts + sides + frame,
        **_acoustics(array),
    }


def _laid(bench: Bench, array: BlockArray) -> tuple[LaidPanel, ...]:
    """How each of several panels is laid; nothing for one."""
    if bench.count < 2:
        return ()
    names = [line.name for line in bench.lines]
    return run_on(array.rows, names, seams_of(bench.lines, array.cell_m))


def _in_place(bench: Bench, array: BlockArray) -> None:
    """Backing and blocks in their places. [m]"""
    practice = bench.practice
    edge, cell = bench.board.thick_m + practice.clearance_m, array.cell_m
    size = (array.width_m, array.height_m, practice.backing_m)
    bench.at(Part.BACKING, (edge, edge, practice.cleat_m), size)
    z = practice.cleat_m + practice.backing_m
    for down, row in enumerate(array.rows):
        y = edge + (len(array.rows) - 1 - down) * cell
        for column, height in enumerate(row):
            if height > 0:
                bench.at(Part.BLOCK, (edge + column * cell, y, z), (cell, cell, height))


def stick_faces_m2(
    bench: Bench, blocks: Sequence[BlockCount], stick: Stock, cell_m: float
) -> float:
    """Four faces of the whole sticks that the blocks come from. [m2]"""
    practice, kerf = bench.practice, bench.job.shop.kerf_m
    price = next((p for p in bench.job.shop.prices if p.item == stick.item), None)
    long = (bar_m(price, practice) if price else None) or practice.stock_m[0]
    need = sum((block.cells + block.spares) * (block.height_m + kerf) for block in blocks)
    sticks = ceil(need / max(long - 2 * practice.trim_m - practice.hold_m, 1e-3))
    return 4 * cell_m * long * sticks


def _acoustics(array: BlockArray) -> dict[str, Any]:
    reach = working_range_hz(array)
    if reach is None:
        return {}
    return {
        "works_from_hz": reach[0],
        "works_to_hz": reach[1],
        "diffusion": predicted_diffusion(array),
    }


def _steps(bench: Bench, array: BlockArray) -> None:
    practice = bench.practice
    bench.step(Step.ACCLIMATISE)
    bench.step(
        Step.MEASURE_STICKS,
        sticks=min(len(array.rows[0]), _CLAMPED),
        stick_m=array.cell_m,
        measured=practice.stick_m is not None,
    )
    bench.step(Step.SAND_STICKS)
    bench.step(Step.CUT_BLOCKS, hold_m=practice.hold_m)
    for kind in (Step.READ_MAP, Step.LAY_DRY, Step.GLUE_ROWS, Step.WEIGH_DOWN):
        bench.step(kind)
    gaps = max((len(array.rows) - 1) // _CARD_ROWS, 0)
    bench.step(
        Step.CHECK_ROWS,
        rows=_CARD_ROWS,
        gaps=gaps,
        gaps_m=gaps * _CARD_M,
        clear_m=2 * practice.clearance_m,
    )
    if bench.count > 1:
        bench.step(Step.LAY_FROM)


def _width(bench: Bench, array: BlockArray, laid: Layout) -> None:
    """What to do about an array that is not the size that was asked, and how wood moves."""
    sides: tuple[tuple[Side, float, float, int], ...] = (
        ("wide", array.width_m, laid.over_width_m, laid.columns),
        ("high", array.height_m, laid.over_height_m, laid.rows),
    )
    for side, size_m, over_m, cells in sides:
        if over_m > _SEEN_M:
            bench.caution(
                Caution.OVER_SIZE,
                side=side,
                size_m=size_m,
                over_m=over_m,
                wanted_m=size_m - over_m,
                plane_to_m=(size_m - over_m) / cells,
                one_less_m=(cells - 1) * array.cell_m,
            )
        elif over_m < -_SEEN_M:
            bench.caution(
                Caution.UNDER_SIZE,
                side=side,
                size_m=size_m,
                short_m=-over_m,
                wanted_m=size_m - over_m,
                can_rip=-over_m >= _STRIP_M,
                fits=bench.piece.fits,
            )
    points = bench.practice.moisture_points
    low_m, high_m = grown_by_moisture_m(max(array.width_m, array.height_m), points)
    bench.caution(Caution.WOOD_MOVES, points=points, low_m=low_m, high_m=high_m)
