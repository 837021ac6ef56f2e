"""Well diffusers at the bench: depths by number theory, back, fins, floors on ribs, frame."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from roomcheck.facts import Fact, fact
from roomcheck.job import StockPiece
from roomcheck.materials import (
    design_hz,
    half_wave_hz,
    is_prime,
    panel_diffusion,
    primitive_root_sequence,
    primitive_roots,
    quadratic_residues,
    quarter_wave_hz,
)
from roomcheck.units import M_PER_IN, both
from roomcheck.workshop.kinds import Caution, Note, Part, Pattern, Step, Surface
from roomcheck.workshop.parts.bench import Bench
from roomcheck.workshop.patterns.blocks import PanelError
from roomcheck.workshop.patterns.patterns import BANDS_HZ
from roomcheck.workshop.patterns.rows_of_wells import rows_of, wells_run_on
from roomcheck.workshop.patterns.seams import seams_of
from roomcheck.workshop.results import LaidPanel, Stock

_FLOOR_M = 0.5 * M_PER_IN
_SAFE_M = M_PER_IN
"""Ribs less high are too small to saw one by one: long rails are ripped instead."""
_LEAST_WELL_M = M_PER_IN
_WIDEST = 1.6
"""Wells are widened to fill the frame with whole runs, up to so many times their drawn width."""
_DEEPEST = 15
"""Wells deeper than so many times their width absorb rather than scatter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wells:
    """Wells side by side."""

    depths_m: tuple[float, ...]
    """From the left, seen from the front [m]."""
    width_m: float
    """Of one well [m]."""
    fin_m: float
    """Of the fins between and outside [m]."""
    runs: int
    """Whole runs of the pattern."""
    rest: int
    """Wells beyond them."""


def period_m(wells: int, well_m: float, fin_m: float) -> float:
    """Width of one run with a fin at both ends. [m]

    >>> period_m(7, 2.5, 0.25)
    19.5
    """
    return wells * well_m + (wells + 1) * fin_m


def run_of(piece: StockPiece) -> tuple[float, ...]:
    """Depths of one run: the piece's own, or by its pattern down to the deepest of its steps. [m]

    Raises
    ------
    PanelError
        No depth above 0.
    """
    deepest = max(piece.steps_m, default=0.0)
    if deepest <= 0 or min(piece.steps_m) < 0:
        raise PanelError(
            "steps_m", repr(piece.steps_m), "depths of 0 or above, one of them above 0"
        )
    if piece.pattern is None:
        return piece.steps_m
    residues = piece.pattern.name == "quadratic residues"
    sequence = quadratic_residues if residues else primitive_root_sequence
    numbers = sequence(piece.pattern.prime or 7)
    return tuple(n * deepest / max(numbers) for n in numbers)


def lay_wells(run: tuple[float, ...], well_m: float, fin_m: float, across_m: float) -> Wells:
    """Whole runs of the pattern, their wells widened so that they fill the width.

    Where not even one run fits as drawn, its wells are narrowed; where widening would go too far,
    part of another run fills the rest.

    Raises
    ------
    PanelError
        One run would have wells under 1 in, or the width holds none.
    """
    n = len(run)
    runs = max(int((across_m - fin_m) / (n * (well_m + fin_m)) + 1e-6), 1)
    wide = (across_m - (n * runs + 1) * fin_m) / (n * runs)
    if wide < _LEAST_WELL_M - 1e-9:
        need = period_m(n, _LEAST_WELL_M, fin_m)
        raise PanelError(
            "width_m",
            f"{both(across_m)} inside the frame",
            f"{both(need)} for one run of {n} wells, or a lower prime",
        )
    if wide <= _WIDEST * well_m:
        return Wells(depths_m=run * runs, width_m=wide, fin_m=fin_m, runs=runs, rest=0)
    wells = int((across_m - fin_m) / (well_m + fin_m) + 1e-6)
    depths = tuple(run[i % n] for i in range(wells))
    return Wells(depths_m=depths, width_m=well_m, fin_m=fin_m, runs=wells // n, rest=wells % n)


def well_parts(bench: Bench) -> dict[str, Any]:
    """Draft well diffusers; return what their sheet shows beside cuts and steps."""
    piece, practice, board = bench.piece, bench.practice, bench.board
    back_w, back_h = (
        side - 2 * (board.thick_m + practice.clearance_m)
        for side in (piece.width_m, piece.height_m)
    )
    if min(back_w, back_h) <= 0:
        raise PanelError(
            "width_m", both(min(piece.width_m, piece.height_m)), "more than its frame takes"
        )
    run = run_of(piece)
    wells = lay_wells(run, piece.cell_m, practice.fin_m, back_w)
    depths, deepest = wells.depths_m, max(run)
    half, quarter = bench.plywood(practice.backing_m), bench.plywood(practice.fin_m)
    bench.cut(Part.BACK, half, 1, (back_h, back_w))
    edge, z = board.thick_m + practice.clearance_m, practice.cleat_m + practice.backing_m
    bench.at(Part.BACK, (edge, edge, practice.cleat_m), (back_w, back_h, practice.backing_m))
    fins = len(depths) + 1
    bench.cut(Part.FIN, quarter, fins, (back_h, deepest), fact(Note.ON_EDGE_OF_BACK))
    pitch = wells.width_m + wells.fin_m
    for i in range(fins):
        bench.at(Part.FIN, (edge + i * pitch, edge, z), (wells.fin_m, back_h, deepest))
    for depth in sorted(set(depths)):
        _floor(bench, depths.count(depth), deepest - depth, (back_h, wells.width_m, half))
    for i, depth in enumerate(depths):
        at = (edge + wells.fin_m + i * pitch, edge, z)
        _floor_in_place(bench, at, deepest - depth, (wells.width_m, back_h))
    bench.frame(back_w, back_h, practice.clearance_m)
    bench.cleats()
    bench.cleat_in_place(piece.width_m, piece.height_m, 0.0)
    laid = _laid(bench, wells, len(run))
    _steps(bench, wells)
    bench.depth_stack(deepest)
    for kind in (Caution.SAW, Caution.DUST, Caution.LIFT, Caution.FINISH):
        bench.caution(kind)
    faces = sum(back_h * (wells.width_m + 2 * depth) for depth in depths)
    frame = 2 * board.wide_m * 2 * (back_w + back_h)
    bench.finish(((Surface.WELLS, faces), (Surface.FRAME, frame)), 0.0)
    prime = well_prime(run)
    low = (
        quarter_wave_hz(deepest)
        if prime is None
        else design_hz(_sequence(run, prime), prime, deepest)
    )
    return {
        "pattern": _pattern(run, prime, len(depths)),
        "depths_m": depths,
        "laid": laid,
        "outside_width_m": piece.width_m,
        "outside_height_m": piece.height_m,
        "finish_m2": faces + frame,
        "works_from_hz": low,
        "works_to_hz": half_wave_hz(wells.width_m),
        "diffusion": tuple(zip(BANDS_HZ, panel_diffusion(depths, pitch, BANDS_HZ), strict=True)),
    }


def _laid(bench: Bench, wells: Wells, run: int) -> tuple[LaidPanel, ...]:
    """In which order each panel has its wells; nothing where all have them as drawn. A panel that
    hangs the other way round has nothing beside it that its wells run on to."""
    piece, lines = bench.piece, bench.lines
    level = piece.width_m > piece.height_m
    seams = [
        seam
        for seam in seams_of(lines, wells.width_m)
        if (lines[seam.first].width_m > lines[seam.first].height_m) == level
    ]
    names = tuple(line.name for line in lines)
    long = len(wells.depths_m) if wells.rest else run
    laid = wells_run_on(wells.depths_m, long, names, rows_of(lines, seams))
    drawn = tuple(range(1, len(wells.depths_m) + 1))
    if all(panel.rows == drawn for panel in laid):
        return ()
    bench.step(Step.WELLS_RUN_ON, panels=tuple((panel.name, panel.rows) for panel in laid))
    return laid


def _floor(bench: Bench, wells: int, raised: float, back: tuple[float, float, Stock]) -> None:
    """The floor of wells of one depth: the back itself, a packing strip, or a strip on ribs."""
    long, wide, half = back
    if raised < 1e-6:
        return
    if raised < _FLOOR_M + 1e-6:
        note = fact(Note.FLOOR_ON_BACK, thick_m=raised)
        bench.cut(Part.WELL_FLOOR, half, wells, (long, wide), note)
        return
    note = fact(Note.FLOOR_RAISED, raised_m=raised)
    bench.cut(Part.WELL_FLOOR, half, wells, (long, wide), note)
    if raised - _FLOOR_M > 1e-6:
        high = raised - _FLOOR_M
        if high < _SAFE_M:
            bench.cut(Part.WELL_RAIL, half, 2 * wells, (long, high), fact(Note.RAILS, high_m=high))
            return
        ribs = _ribs(long)
        note = fact(Note.RIBS, high_m=high, ribs=ribs)
        bench.cut(Part.RIB, half, wells * ribs, (wide, high), note)


def _ribs(long: float) -> int:
    """Ribs under the floor of a well so long. [m]"""
    return max(round(long / (24 * M_PER_IN)) + 1, 2)


def _floor_in_place(
    bench: Bench, at: tuple[float, float, float], raised: float, size: tuple[float, float]
) -> None:
    """A well's floor on its rails, or straight on the back. [m]"""
    (x, y, z), (wide, long) = at, size
    if raised < 1e-6:
        return
    thick = min(raised, _FLOOR_M)
    bench.at(Part.WELL_FLOOR, (x, y, z + raised - thick), (wide, long, thick))
    if raised - _FLOOR_M <= 1e-6:
        return
    high = raised - _FLOOR_M
    if high < _SAFE_M:
        for left in (x, x + wide - _FLOOR_M):
            bench.at(Part.WELL_RAIL, (left, y, z), (_FLOOR_M, long, high))
        return
    ribs = _ribs(long)
    for i in range(ribs):
        up = y + i * (long - _FLOOR_M) / (ribs - 1)
        bench.at(Part.RIB, (x, up, z), (wide, _FLOOR_M, high))


def _steps(bench: Bench, wells: Wells) -> None:
    drawn_m, depths = bench.piece.cell_m, wells.depths_m
    bench.step(Step.WELL_ORDER, depths_m=depths)
    bench.step(Step.ASSEMBLE_WELLS)
    bench.step(Step.GLUE_FINS)
    if abs(wells.width_m - drawn_m) > M_PER_IN / 32:
        bench.step(Step.WIDEN_WELLS, well_m=wells.width_m, drawn_m=drawn_m, runs=wells.runs)
    if wells.rest:
        bench.caution(Caution.WELLS_LEFT_OVER, wells=len(depths), runs=wells.runs, rest=wells.rest)
    if max(depths, default=0.0) > _DEEPEST * wells.width_m:
        bench.caution(Caution.WELLS_TOO_DEEP, times=_DEEPEST)


def _sequence(steps: tuple[float, ...], prime: int) -> tuple[int, ...]:
    """The numbers behind the depths."""
    top = max(quadratic_residues(prime)) if len(steps) == prime else prime - 1
    return tuple(round(step * top / max(steps)) for step in steps)


def well_prime(steps_m: tuple[float, ...]) -> int | None:
    """The prime whose quadratic residues or primitive root powers the depths follow; None where
    they follow none.

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
            if any(
                _alike(steps_m, tuple(pow(g, n + k, prime) for n in range(count)))
                for k in range(count)
            ):
                return prime
    return None


def _alike(steps_m: tuple[float, ...], numbers: tuple[int, ...]) -> bool:
    scale = max(steps_m) / max(numbers)
    return all(
        abs(step - scale * n) <= 0.25 * scale for step, n in zip(steps_m, numbers, strict=True)
    )


def _pattern(run: tuple[float, ...], prime: int | None, wells: int) -> Fact[Pattern]:
    if prime is None:
        return fact(Pattern.WELLS_OWN, wells=wells)
    kind = Pattern.WELLS_RESIDUES if len(run) == prime else Pattern.WELLS_ROOT
    return fact(kind, wells=wells, prime=prime)
