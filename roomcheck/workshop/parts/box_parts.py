"""Slatted and perforated boxes and membrane traps: a box, a fill, a front, and where it
resonates."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import log, pi, sin, sqrt
from typing import Any

from roomcheck.facts import fact
from roomcheck.job import ShopMaterial, UsedFor
from roomcheck.units import M_PER_IN, SPEED_OF_SOUND_M_S
from roomcheck.workshop.kinds import Caution, Note, Part, Step, Surface
from roomcheck.workshop.parts.bench import Bench
from roomcheck.workshop.parts.materials_list import boards_of, core_grid, core_parts
from roomcheck.workshop.patterns.blocks import PanelError
from roomcheck.workshop.results import Stock

_FRONTS = frozenset({Part.SLAT, Part.FRONT, Part.MEMBRANE})
_CAVITY_OFF_M = 0.003
"""A cavity off by less moves its resonance by no more than tolerances do. [m]"""
_RAIL = (0.75, 18)
"""Width of the rails behind a front. ([in], [mm])"""
_AIR_M = M_PER_IN / 4
"""Between a membrane and the fill behind it, at the least."""


def slotted_hz(slot_m: float, pitch_m: float, thick_m: float, cavity_m: float) -> float:
    r"""Resonance of slats before a cavity. [Hz]

    :math:`f = \frac{c}{2\pi}\sqrt{\frac{\epsilon}{(t + 2 \delta w) D}}` with
    :math:`\delta = -\ln(\sin(\pi\epsilon/2))/\pi` and the open share :math:`\epsilon = w / b`.

    >>> round(slotted_hz(0.006, 0.076, 0.019, 0.1), 2)
    295.28

    References
    ----------
    Textbook formula, from memory.
    """
    share = slot_m / pitch_m
    delta = -log(sin(pi * share / 2)) / pi
    return SPEED_OF_SOUND_M_S / (2 * pi) * sqrt(share / ((thick_m + 2 * delta * slot_m) * cavity_m))


def perforated_hz(hole_m: float, pitch_m: float, thick_m: float, cavity_m: float) -> float:
    r"""Resonance of a sheet with round holes in a square grid before a cavity. [Hz]

    :math:`f = \frac{c}{2\pi}\sqrt{\frac{\epsilon}{(t + \delta) D}}`,
    :math:`\delta = 0.85\,d\,(1 - 1.47\sqrt\epsilon + 0.47\sqrt{\epsilon^3})`.

    >>> round(perforated_hz(0.005, 0.020, 0.006, 0.1), 2)
    405.7

    References
    ----------
    Textbook formula with the interaction of neighbouring holes, from memory.
    """
    share = pi / 4 * (hole_m / pitch_m) ** 2
    delta = 0.85 * hole_m * (1 - 1.47 * share**0.5 + 0.47 * share**1.5)
    return SPEED_OF_SOUND_M_S / (2 * pi) * sqrt(share / ((thick_m + delta) * cavity_m))


def membrane_hz(mass_kg_m2: float, cavity_m: float) -> float:
    r"""Resonance of a limp sheet on a shallow closed cavity: :math:`f = 60/\sqrt{m d}`. [Hz]

    >>> round(membrane_hz(5.0, 0.1), 2)
    84.85

    References
    ----------
    Audio engineering handbooks.
    """
    return 60 / sqrt(mass_kg_m2 * cavity_m)


def slatted_parts(bench: Bench) -> dict[str, Any]:
    """Slats with equal slots over a filled box."""
    piece = bench.piece
    inside_w, inside_h, cavity = _box(bench)
    across = min(inside_w, inside_h)
    pitch = piece.cell_m + piece.hole_m
    _positive(bench, pitch < across, "cell_m", "slats and slots narrower than the box")
    slats = int((across + piece.hole_m) / pitch + 1e-6)
    slot = (across - slats * piece.cell_m) / (slats + 1)
    stock = _slat_stock(bench)
    size = (max(inside_w, inside_h), piece.cell_m)
    bench.cut(Part.SLAT, stock, slats, size, fact(Note.THICK, thick_m=piece.front_m))
    thick, upright = bench.board.thick_m, inside_h >= inside_w
    z = bench.board.wide_m - piece.front_m
    for i in range(slats):
        along = thick + slot + i * (piece.cell_m + slot)
        at = (along, thick, z) if upright else (thick, along, z)
        wide = (piece.cell_m, size[0]) if upright else (size[0], piece.cell_m)
        bench.at(Part.SLAT, at, (*wide, piece.front_m))
    _rails_across(bench, inside_w, inside_h)
    bench.step(Step.SPACE_SLATS, slats=slats, slot_m=slot)
    bench.step(Step.CLOTH_BEHIND_SLATS)
    hz = slotted_hz(slot, piece.cell_m + slot, piece.front_m, cavity)
    _tuned(bench, hz)
    return {"tuned_hz": hz}


def _slat_stock(bench: Bench) -> Stock:
    """Slats of the price list, else a board as broad as a slat."""
    piece = bench.piece
    stock = bench.stock(ShopMaterial.SLAT)
    if stock.item:
        return stock
    boards = boards_of(bench.job.shop, piece)
    fitting = [board for board in boards if abs(board.wide_m - piece.cell_m) < M_PER_IN / 16]
    return fitting[-1].stock if fitting else replace(stock, thickness_m=piece.front_m)


def perforated_parts(bench: Bench) -> dict[str, Any]:
    """A sheet with holes in a square grid over a filled box."""
    piece = bench.piece
    inside_w, inside_h, cavity = _box(bench)
    _positive(
        bench,
        0 < piece.hole_m < piece.cell_m < min(inside_w, inside_h),
        "hole",
        "holes smaller than their grid",
    )
    columns, rows = (int(side / piece.cell_m) for side in (inside_w, inside_h))
    sheet = bench.plywood(piece.front_m)
    note = fact(Note.HOLES, columns=columns, rows=rows, hole_m=piece.hole_m)
    bench.cut(Part.FRONT, sheet, 1, (inside_w, inside_h), note)
    _front_in_place(bench, Part.FRONT, inside_w, inside_h)
    _rails_round(bench, inside_w, inside_h, at_front=True)
    bench.step(
        Step.DRILL,
        columns=columns,
        rows=rows,
        hole_m=piece.hole_m,
        pitch_m=piece.cell_m,
        left_m=(inside_w - (columns - 1) * piece.cell_m) / 2,
        top_m=(inside_h - (rows - 1) * piece.cell_m) / 2,
    )
    bench.step(Step.CLOTH_BEHIND_HOLES)
    hz = perforated_hz(piece.hole_m, piece.cell_m, piece.front_m, cavity)
    _tuned(bench, hz)
    return {"tuned_hz": hz}


def membrane_parts(bench: Bench) -> dict[str, Any]:
    """A limp front sealed to a box whose fill must not touch it."""
    piece, practice = bench.piece, bench.practice
    inside_w, inside_h, cavity = _box(bench)
    sheet = bench.plywood(piece.front_m)
    bench.cut(Part.MEMBRANE, sheet, 1, (inside_w, inside_h), fact(Note.ON_BEAD))
    _front_in_place(bench, Part.MEMBRANE, inside_w, inside_h)
    _rails_round(bench, inside_w, inside_h, at_front=False)
    mass = piece.front_m * practice.plywood_kg_m3
    for kind in (Step.BED_MEMBRANE, Step.HOLD_FILL_BACK, Step.SEAL_BOX):
        bench.step(kind)
    if piece.fill_m > cavity - _AIR_M:
        bench.caution(Caution.FILL_TOUCHES, fill_m=piece.fill_m, cavity_m=cavity)
    hz = membrane_hz(mass, cavity)
    _tuned(bench, hz)
    return {"tuned_hz": hz}


def _box(bench: Bench) -> tuple[float, float, float]:
    """Frame, back, fill and cleats; inside width and height, and depth of the cavity behind the
    front. [m]"""
    piece, practice, board = bench.piece, bench.practice, bench.board
    inside_w, inside_h = piece.width_m - 2 * board.thick_m, piece.height_m - 2 * board.thick_m
    cavity = board.wide_m - practice.cleat_m - practice.backing_m - piece.front_m
    _positive(bench, min(inside_w, inside_h) > 0, "width_m", "more than the frame takes")
    _positive(
        bench,
        piece.front_m > 0 and cavity > 0,
        "depth_m",
        "more than cleat, back and front together",
    )
    _positive(
        bench, piece.fill_m <= cavity + 1e-9, "fill_m", f"at most the cavity of {cavity:.3f} m"
    )
    bench.frame(inside_w, inside_h, 0.0)
    back = bench.plywood(practice.backing_m)
    bench.cut(Part.BACK, back, 1, (inside_w, inside_h), fact(Note.GLUED_AND_SEALED))
    thick = board.thick_m
    bench.at(Part.BACK, (thick, thick, practice.cleat_m), (inside_w, inside_h, practice.backing_m))
    bench.cleats()
    bench.cleat_in_place(piece.width_m, piece.height_m, 0.0)
    bench.step(Step.CAVITY, cavity_m=cavity)
    core = piece.core
    if core is not None and abs(core.thickness_m + core.gap_m - cavity) > _CAVITY_OFF_M:
        predicted_m = core.thickness_m + core.gap_m
        bench.caution(Caution.CAVITY_OFF, predicted_m=predicted_m, built_m=cavity)
    for kind in (Caution.SAW, Caution.DUST, Caution.WOOL, Caution.FIRE, Caution.FINISH):
        bench.caution(kind)
    finished_m2 = inside_w * inside_h + 4 * board.wide_m * (inside_w + inside_h)
    bench.finish(((Surface.FRONT_AND_FRAME, finished_m2),), 0.0)
    return inside_w, inside_h, cavity


def _front_in_place(bench: Bench, part: Part, inside_w: float, inside_h: float) -> None:
    thick, front = bench.board.thick_m, bench.piece.front_m
    bench.at(part, (thick, thick, bench.board.wide_m - front), (inside_w, inside_h, front))


def _behind_front_m(bench: Bench) -> float:
    """From the frame's back to the back of its front. [m]"""
    return bench.board.wide_m - bench.piece.front_m


def _rails_across(bench: Bench, inside_w: float, inside_h: float) -> None:
    """Three rails behind the slats, and fill between them, against the slats."""
    plywood, thick = bench.plywood(bench.practice.cleat_m), bench.board.thick_m
    rail = bench.nice_m(*_RAIL)
    across, long = min(inside_w, inside_h), max(inside_w, inside_h)
    upright = inside_h >= inside_w
    deep = bench.practice.cleat_m
    bench.cut_joined(Part.FRONT_RAIL, plywood, 3 * bench.count, (across, rail))
    for along in (0.0, (long - rail) / 2, long - rail):
        z = _behind_front_m(bench) - deep
        at = (thick, thick + along, z) if upright else (thick + along, thick, z)
        wide = (across, rail) if upright else (rail, across)
        bench.at(Part.FRONT_RAIL, at, (*wide, deep))
    bay = (long - 3 * rail) / 2
    z = _behind_front_m(bench) - bench.piece.fill_m
    corners = [rail, 2 * rail + bay]
    area = (across, bay) if upright else (bay, across)
    _fill(bench, area, [(0.0, y) if upright else (y, 0.0) for y in corners], z)


def _rails_round(bench: Bench, inside_w: float, inside_h: float, *, at_front: bool) -> None:
    """Four rails behind the front's edges; fill within them against the front, or on the back."""
    plywood, thick = bench.plywood(bench.practice.cleat_m), bench.board.thick_m
    deep, practice = bench.practice.cleat_m, bench.practice
    rail = bench.nice_m(*_RAIL)
    z = _behind_front_m(bench) - deep
    bench.cut_joined(Part.FRONT_RAIL, plywood, 2 * bench.count, (inside_w, rail))
    bench.cut_joined(Part.FRONT_RAIL, plywood, 2 * bench.count, (inside_h - 2 * rail, rail))
    for y in (0.0, inside_h - rail):
        bench.at(Part.FRONT_RAIL, (thick, thick + y, z), (inside_w, rail, deep))
    for x in (0.0, inside_w - rail):
        size = (rail, inside_h - 2 * rail, deep)
        bench.at(Part.FRONT_RAIL, (thick + x, thick + rail, z), size)
    if not at_front:
        back = practice.cleat_m + practice.backing_m
        _fill(bench, (inside_w, inside_h), [(0.0, 0.0)], back)
        return
    area = (inside_w - 2 * rail, inside_h - 2 * rail)
    _fill(bench, area, [(rail, rail)], _behind_front_m(bench) - bench.piece.fill_m)


def _fill(
    bench: Bench, area: tuple[float, float], corners: list[tuple[float, float]], back_m: float
) -> None:
    """Fill of equal bays, and the cloth that keeps it there. [m]"""
    piece, thick = bench.piece, bench.board.thick_m
    if piece.fill_m <= 0:
        return
    cloth = bench.stock(ShopMaterial.FABRIC, UsedFor.BACK)
    bench.cut(Part.FRONT_CLOTH, cloth, 1, (piece.width_m, piece.height_m), fact(Note.OPEN_WEAVE))
    stock, board = bench.core_board(piece.fill_m)
    layers = max(round(piece.fill_m / board[2]), 1)
    sheets = layers * len(corners) * bench.count
    for count, size in core_parts(area, board, sheets):
        bench.cut(Part.FILL, stock, layers * count * len(corners), size, fact(Note.KNIFE))
    columns, rows = core_grid(area, board, sheets)
    for layer, corner in product(range(layers), corners):
        x = thick + corner[0]
        for wide in columns:
            y = thick + corner[1]
            for high in rows:
                bench.at(Part.FILL, (x, y, back_m + layer * board[2]), (wide, high, board[2]))
                y += high
            x += wide


def _tuned(bench: Bench, hz: float) -> None:
    front = bench.piece.front_m
    for stock in (cut.stock for cut in bench.cuts if cut.part in _FRONTS):
        stock_m = stock.thickness_m
        plywood = stock.material is ShopMaterial.PLYWOOD
        if plywood and stock_m is not None and abs(stock_m - front) > M_PER_IN / 32:
            bench.caution(Caution.FRONT_THICKNESS, front_m=front, stock=stock.item, stock_m=stock_m)
    bench.caution(Caution.RESONATES, resonance_hz=hz)


def _positive(bench: Bench, fine: bool, argument: str, needed: str) -> None:
    if not fine:
        piece = bench.piece
        found = (
            f"{piece.name!r} of {piece.width_m:.3f} x {piece.height_m:.3f} x {piece.depth_m:.3f} m"
        )
        raise PanelError(argument, found, needed)
