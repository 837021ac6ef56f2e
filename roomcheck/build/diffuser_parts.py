"""Block and well diffusers at the bench."""

from __future__ import annotations

from dataclasses import replace

from roomcheck.build import cautions
from roomcheck.build.bench import Bench
from roomcheck.build.blocks import BlockArray, block_diffuser
from roomcheck.build.patterns import (
    BANDS_HZ,
    exposed_area_m2,
    grown_by_moisture_m,
    predicted_diffusion,
    working_range_hz,
)
from roomcheck.build.practice import Practice
from roomcheck.build.results import BlockCount, Cut
from roomcheck.job import StockPiece
from roomcheck.materials.diffusers import (
    design_hz,
    half_wave_hz,
    is_prime,
    panel_diffusion,
    primitive_roots,
    quadratic_residues,
    quarter_wave_hz,
)
from roomcheck.units import M_PER_IN

SEED = 7
"""Seed of the block pattern, printed on the sheet so that the panel can be built again."""
_FLOOR_M = 0.5 * M_PER_IN


def spares(cells: int, pct: int, least: int) -> int:
    """Blocks on top of so many: a share rounded up, and no fewer than the least.

    >>> spares(103, 10, 4), spares(20, 10, 4), spares(0, 10, 4)
    (11, 4, 0)
    """
    return max(-(-cells * pct // 100), least) if cells else 0


def block_array(piece: StockPiece, practice: Practice, seed: int = SEED) -> BlockArray:
    """The panel's pattern, laid with sticks as thick as they measured."""
    array = block_diffuser(piece.width_m, piece.height_m, piece.cell_m, piece.steps_m, seed)
    return replace(array, cell_m=practice.stick_m) if practice.stick_m else array


def outside_m(piece: StockPiece, practice: Practice) -> tuple[float, float]:
    """Width and height of a piece as it hangs, frame and all. [m]

    A block panel's frame goes round its array as measured; every other piece's sizes are outside sizes already.
    """
    if piece.kind != "block diffuser":
        return piece.width_m, piece.height_m
    cell = practice.stick_m or piece.cell_m
    columns, rows = (int(side / piece.cell_m + 1e-6) for side in (piece.width_m, piece.height_m))
    more = 2 * (practice.clearance_m + practice.board_m)
    return columns * cell + more, rows * cell + more


def block_parts(bench: Bench) -> dict[str, object]:
    """Cuts and steps of block panels; returns what their sheet shows beside them."""
    piece, practice = bench.piece, bench.practice
    array = block_array(piece, practice)
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
            Cut(part="block", stock=stick, count=total, length_m=block.height_m, width_m=array.cell_m, note=note)
        )
    bench.cut("backing", bench.item("1/2 in plywood", "plywood", "1/2"), 1, (array.width_m, array.height_m))
    _block_steps(bench, array)
    bench.frame(array.width_m, array.height_m, practice.clearance_m)
    bench.cleats()
    fronts, sides = exposed_area_m2(array)
    frame = 2 * bench.board.wide_m * 2 * (array.width_m + array.height_m)
    bench.steps.append(
        f"Finish, each panel: {_area(bench, fronts)} of fronts and backing, {_area(bench, sides)} of block sides, "
        f"{_area(bench, frame)} of frame, a coat; end grain drinks half as much again or twice. "
        "Paint the backing first."
    )
    _depth_stack(bench, max(array.steps_m))
    _width(bench, array)
    bench.said += [cautions.SAW, cautions.DUST, cautions.LIFT, cautions.FINISH, *array.unmet]
    outside = outside_m(piece, practice)
    return {
        "row_map": array.rows,
        "blocks": blocks,
        "pattern": array.pattern,
        "array_width_m": array.width_m,
        "array_height_m": array.height_m,
        "over_width_m": array.width_m - piece.width_m,
        "over_height_m": array.height_m - piece.height_m,
        "outside_width_m": outside[0],
        "outside_height_m": outside[1],
        "finish_m2": fronts + sides + frame,
        **_acoustics(array),
    }


def _acoustics(array: BlockArray) -> dict[str, object]:
    reach = working_range_hz(array)
    if reach is None:
        return {}
    return {"works_from_hz": reach[0], "works_to_hz": reach[1], "diffusion": predicted_diffusion(array)}


def _block_steps(bench: Bench, array: BlockArray) -> None:
    kept = bench.size(bench.practice.hold_m)
    bench.steps += [
        "Let the wood lie in the room for one to two weeks, to 6 to 9 % moisture by the meter.",
        f"Clamp {len(array.rows[0])} sticks side by side, measure them together, divide: type the true width in before "
        "anything is cut.",
        "Sand the four faces of the long sticks; only the fronts are left to sand once they are blocks.",
        f"Square an end, then cut longest first, one stop a height, a bin a height; the last {kept} stay in the clamp.",
        "The row map is seen from the FRONT. Laid face down, it is mirrored: check row 1 before glue.",
        "Lay rows 1 and 2 dry; row 1 against a straight fence on the long edge. A column line every 4 blocks.",
        "Size end grain with thinned glue, then a bead; no more than one row in 8 to 10 min. Glue to the backing only.",
        "After every 4th row: square, running width, a gap of a card's thickness; correct with gaps, not force.",
        "Weigh down overnight; trim what stands over.",
    ]
    if bench.count > 1:
        bench.steps.append("All panels have this one map: hang every other one upside down, so that nothing repeats.")


def _depth_stack(bench: Bench, tallest: float) -> None:
    practice, board = bench.practice, bench.board
    stack = practice.cleat_m + practice.backing_m + tallest
    reveal = board.wide_m - stack
    parts = (
        f"{bench.size(practice.cleat_m)} cleat, {bench.size(practice.backing_m)} backing, {bench.size(tallest)} blocks"
    )
    if reveal < -1e-6:
        bench.said.append(
            f"Depth: {parts} make {bench.size(stack)}, more than the board's {bench.size(board.wide_m)}. Take a wider "
            "board, a thinner backing or lower blocks."
        )
    else:
        bench.steps.append(f"Depth: {parts} make {bench.size(stack)}; the frame stands {bench.size(reveal)} proud.")


def _width(bench: Bench, array: BlockArray) -> None:
    piece = bench.piece
    for name, is_m, want in (("wide", array.width_m, piece.width_m), ("high", array.height_m, piece.height_m)):
        over = is_m - want
        if abs(over) > M_PER_IN / 32:
            cells = round(is_m / array.cell_m)
            what = "over" if over > 0 else "under"
            bench.said.append(
                f"The blocks make {bench.size(is_m)} {name}, {bench.size(abs(over))} {what} the {bench.size(want)} "
                f"drawn: plane the sticks to {bench.size(want / cells)}, leave out a line, or keep it and cut the "
                f"frame for {bench.size(is_m)}."
            )
    low, high = grown_by_moisture_m(max(array.width_m, array.height_m), bench.practice.moisture_points)
    bench.said.append(
        f"Wood moves: {bench.practice.moisture_points:g} points more moisture push tight blocks {bench.size(low)} to "
        f"{bench.size(high)} apart over the long side. The card gaps take it up; do not force the frame on."
    )


def well_parts(bench: Bench) -> dict[str, object]:
    """Cuts and steps of well diffusers: back, fins, floors on ribs, frame."""
    piece, practice, board = bench.piece, bench.practice, bench.board
    inside_w, inside_h = piece.width_m - 2 * board.thick_m, piece.height_m - 2 * board.thick_m
    back_w, back_h = inside_w - 2 * practice.clearance_m, inside_h - 2 * practice.clearance_m
    fin_m = M_PER_IN / 4
    wells = max(int((back_w - fin_m) / (piece.cell_m + fin_m) + 1e-6), 0)
    depths = tuple(piece.steps_m[i % len(piece.steps_m)] for i in range(wells))
    deepest = max(piece.steps_m)
    half, quarter = bench.item("1/2 in plywood", "plywood", "1/2"), bench.item("1/4 in plywood", "plywood", "1/4")
    bench.cut("back", half, 1, (back_h, back_w))
    bench.cut("fin", quarter, wells + 1, (back_h, deepest), "stands on the back, full depth")
    for depth in sorted(set(depths)):
        _well_floor(bench, depths.count(depth), deepest - depth, (back_h, half))
    bench.frame(back_w, back_h, practice.clearance_m)
    bench.cleats()
    _well_steps(bench, depths)
    _depth_stack(bench, deepest)
    bench.said += [cautions.SAW, cautions.DUST, cautions.LIFT, cautions.FINISH]
    area = sum(back_h * (piece.cell_m + 2 * depth) for depth in depths)
    frame = 2 * board.wide_m * 2 * (back_w + back_h)
    prime = well_prime(piece.steps_m)
    low = quarter_wave_hz(deepest) if prime is None else design_hz(_sequence(piece.steps_m), prime, deepest)
    return {
        "pattern": _well_pattern(piece.steps_m, prime, wells),
        "outside_width_m": piece.width_m,
        "outside_height_m": piece.height_m,
        "finish_m2": area + frame,
        "works_from_hz": low,
        "works_to_hz": half_wave_hz(piece.cell_m),
        "diffusion": tuple(zip(BANDS_HZ, panel_diffusion(depths, piece.cell_m + fin_m, BANDS_HZ), strict=True)),
    }


def _well_floor(bench: Bench, wells: int, raised: float, back: tuple[float, str]) -> None:
    """The floor of wells of one depth: the back itself, a packing strip, or a strip on ribs."""
    long, half = back
    if raised < 1e-6:
        return
    wide = bench.piece.cell_m
    if raised < _FLOOR_M + 1e-6:
        bench.cut("well floor", half, wells, (long, wide), f"packed to {bench.size(raised)} above the back")
        return
    bench.cut("well floor", half, wells, (long, wide), f"front {bench.size(raised)} above the back")
    ribs = max(round(long / (24 * M_PER_IN)) + 1, 2)
    bench.cut("rib", half, wells * ribs, (wide, raised - _FLOOR_M), f"{ribs} a well, under its floor")


def _well_steps(bench: Bench, depths: tuple[float, ...]) -> None:
    order = ", ".join(bench.size(depth) for depth in depths)
    bench.steps += [
        f"Well depths from the left, seen from the front: {order}. Laid face down, they run from the right.",
        "Rip floors and fins in one setting each; ribs first, then floors, then a fin, well by well.",
        "Glue every fin over its whole length: a loose one hums. Seal every joint: a leaky well absorbs.",
    ]
    periods, rest = divmod(len(depths), len(bench.piece.steps_m))
    if not periods or rest:
        bench.said.append(
            f"{len(depths)} wells fit: {periods} whole run{'' if periods == 1 else 's'} of the pattern and {rest} more."
        )
    if max(depths, default=0.0) > 15 * bench.piece.cell_m:
        bench.said.append("Wells deeper than 15 times their width absorb rather than scatter: make them wider.")


def _sequence(steps: tuple[float, ...]) -> tuple[int, ...]:
    unit = min(step for step in steps if step > 0)
    return tuple(round(step / unit) for step in steps)


def well_prime(steps_m: tuple[float, ...]) -> int | None:
    """The prime whose quadratic residues or primitive root powers the depths follow; None where they follow none.

    >>> well_prime((0, 0.0254, 0.1016, 0.0508, 0.0508, 0.1016, 0.0254)), well_prime((0, 0.03, 0.07))
    (7, None)
    """
    count, tallest = len(steps_m), max(steps_m)
    if count < 3 or tallest <= 0:
        return None
    if is_prime(count) and _alike(steps_m, quadratic_residues(count)):
        return count
    prime = count + 1
    if is_prime(prime):
        for g in primitive_roots(prime):
            if any(_alike(steps_m, tuple(pow(g, n + k, prime) for n in range(count))) for k in range(count)):
                return prime
    return None


def _alike(steps_m: tuple[float, ...], numbers: tuple[int, ...]) -> bool:
    scale = max(steps_m) / max(numbers)
    return all(abs(step - scale * n) <= 0.25 * scale for step, n in zip(steps_m, numbers, strict=True))


def _well_pattern(steps_m: tuple[float, ...], prime: int | None, wells: int) -> str:
    if prime is None:
        return f"{wells} wells, depths of the shop's own"
    kind = "quadratic residues" if len(steps_m) == prime else "powers of a primitive root"
    return f"{wells} wells, {kind} of {prime}"


def _area(bench: Bench, area_m2: float) -> str:
    return f"{area_m2 / 0.3048**2:.0f} ft²" if bench.job.units == "imperial" else f"{area_m2:.1f} m²"
