"""Block diffusers at the bench."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from roomcheck.units import M_PER_IN
from roomcheck.workshop.parts import cautions
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
from roomcheck.workshop.results import BlockCount, Cut

_SEEN_M = M_PER_IN / 32
"""A size off by less is no matter at the bench."""
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


def block_parts(bench: Bench) -> dict[str, object]:
    """Cuts and steps of block panels; returns what their sheet shows beside them."""
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
    stick = bench.item("stick", "stick")
    for block in blocks:
        note = f"{block.cells} and {block.spares} spare"
        total = block.cells + block.spares
        bench.cuts.append(
            Cut(
                part="block",
                stock=stick,
                count=total,
                length_m=block.height_m,
                width_m=array.cell_m,
                note=note,
            )
        )
    half = bench.plywood(bench.practice.backing_m)
    bench.cut_joined(
        "backing", half, bench.count, (array.width_m, array.height_m), unit_m=array.cell_m
    )
    _steps(bench, array)
    bench.frame(array.width_m, array.height_m, practice.clearance_m)
    bench.cleats()
    fronts, sides = exposed_area_m2(array)
    frame = 2 * bench.board.wide_m * 2 * (array.width_m + array.height_m)
    end_grain = array.blocks * array.cell_m**2
    bench.finish(
        (
            ("fronts and backing", fronts),
            ("block sides", sides),
            ("frame", frame),
        ),
        end_grain,
    )
    raw = stick_faces_m2(bench, blocks, stick, array.cell_m) / bench.count
    bench.steps.append(
        f"Stained as long sticks instead: {bench.area(raw)} a coat, all four faces, before they "
        "are cut; glue joints then bleed no stain."
    )
    bench.depth_stack(max(array.steps_m))
    _width(bench, array, laid)
    bench.said += [cautions.SAW, cautions.DUST, cautions.LIFT, cautions.FINISH, *array.unmet]
    outside = outside_m(piece, practice)
    return {
        "row_map": array.rows,
        "blocks": blocks,
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


def stick_faces_m2(bench: Bench, blocks: Sequence[BlockCount], stick: str, cell_m: float) -> float:
    """Four faces of the whole sticks that the blocks come from. [m2]"""
    practice, kerf = bench.practice, bench.job.shop.kerf_m
    price = next((p for p in bench.job.shop.prices if p.item == stick), None)
    long = (bar_m(price, practice) if price else None) or practice.stock_m[0]
    need = sum((block.cells + block.spares) * (block.height_m + kerf) for block in blocks)
    sticks = ceil(need / max(long - 2 * practice.trim_m - practice.hold_m, 1e-3))
    return 4 * cell_m * long * sticks


def _acoustics(array: BlockArray) -> dict[str, object]:
    reach = working_range_hz(array)
    if reach is None:
        return {}
    return {
        "works_from_hz": reach[0],
        "works_to_hz": reach[1],
        "diffusion": predicted_diffusion(array),
    }


def _steps(bench: Bench, array: BlockArray) -> None:
    kept = bench.size(bench.practice.hold_m)
    bench.steps += [
        "Let the wood lie in the room for one to two weeks, to 6 to 9 % moisture by the meter.",
        f"Clamp {min(len(array.rows[0]), _CLAMPED)} sticks side by side, measure them together, "
        "divide: write the true width in before anything is cut (this sheet was made for "
        f"{_stick(bench, array)}).",
        (
            "Sand the four faces of the long sticks; only the fronts are left to sand once they "
            "are blocks."
        ),
        "Square an end, then cut longest first, one stop a height, a bin a height; the last "
        f"{kept} stay in the clamp.",
        (
            "The row map is seen from the FRONT. Laid face down, it is mirrored: check row 1 "
            "before glue."
        ),
        (
            "Lay rows 1 and 2 dry; row 1 against a straight fence on the long edge. A column line "
            "every 4 blocks."
        ),
        (
            "Size end grain with thinned glue, then a bead; no more than one row in 8 to 10 min. "
            "Glue to the backing only."
        ),
        (
            "After every 4th row: square, running width, a gap of a card's thickness; correct with "
            "gaps, not force."
        ),
        "Weigh down overnight; trim what stands over.",
    ]
    if bench.count > 1:
        bench.steps.append(
            "All panels have this one map: hang every other one upside down, so that nothing "
            "repeats."
        )


def _stick(bench: Bench, array: BlockArray) -> str:
    """The stick's section, and whether it was measured."""
    if bench.practice.stick_m is None:
        return f"{bench.size(array.cell_m)}, nominal"
    return f"{bench.exact(array.cell_m)}, measured"


def _width(bench: Bench, array: BlockArray, laid: Layout) -> None:
    sides = (
        ("wide", array.width_m, laid.over_width_m, laid.columns, "column"),
        ("high", array.height_m, laid.over_height_m, laid.rows, "row"),
    )
    for name, is_m, over, cells, line in sides:
        if over > _SEEN_M:
            want = is_m - over
            bench.said.append(
                f"The blocks make {bench.size(is_m)} {name}, {bench.size(over)} over the "
                f"{bench.size(want)} asked. Choose: plane the sticks to "
                f"{bench.exact(want / cells)}; or leave out a {line} "
                f"({bench.size((cells - 1) * array.cell_m)}); or keep it and frame "
                f"{bench.size(is_m)}, as cut here; or trim {bench.size(over)} off the last "
                f"{line}."
            )
        elif over < -_SEEN_M:
            short = -over
            rip = (
                f"; or rip a last {line} of blocks {bench.size(short)} wide"
                if short >= _STRIP_M
                else ""
            )
            where = "opening leaves" if bench.piece.fits == "opening" else "size asked"
            bench.said.append(
                f"The blocks make {bench.size(is_m)} {name}, {bench.size(short)} less than the "
                f"{where} ({bench.size(is_m + short)}). Frame {bench.size(is_m)}, as cut here{rip}."
            )
    low, high = grown_by_moisture_m(
        max(array.width_m, array.height_m), bench.practice.moisture_points
    )
    bench.said.append(
        f"Wood moves: {bench.practice.moisture_points:g} points more moisture push tight blocks "
        f"{bench.size(low)} to {bench.size(high)} apart over the long side. The card gaps take "
        "it up; do not force the frame on."
    )
