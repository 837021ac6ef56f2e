"""Slatted and perforated boxes and membrane traps: a box, a fill, a front, and where it
resonates."""

from __future__ import annotations

from math import log, pi, sin, sqrt

from roomcheck.materials import SOUND_M_S
from roomcheck.units import M_PER_IN
from roomcheck.workshop.parts import cautions
from roomcheck.workshop.parts.bench import Bench
from roomcheck.workshop.parts.materials_list import (
    boards_of,
    core_board_m,
    core_boards,
    thickness_m,
)
from roomcheck.workshop.patterns.blocks import PanelError

_TUNING = (
    "A planning number from a closed form; build one and measure it before you promise anything "
    "of it."
)


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
    return SOUND_M_S / (2 * pi) * sqrt(share / ((thick_m + 2 * delta * slot_m) * cavity_m))


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
    return SOUND_M_S / (2 * pi) * sqrt(share / ((thick_m + delta) * cavity_m))


def membrane_hz(mass_kg_m2: float, cavity_m: float) -> float:
    r"""Resonance of a limp sheet on a shallow closed cavity: :math:`f = 60/\sqrt{m d}`. [Hz]

    >>> round(membrane_hz(5.0, 0.1), 2)
    84.85

    References
    ----------
    Audio engineering handbooks.
    """
    return 60 / sqrt(mass_kg_m2 * cavity_m)


def slatted_parts(bench: Bench) -> dict[str, object]:
    """Slats with equal slots over a filled box."""
    piece = bench.piece
    inside_w, inside_h, cavity = _box(bench)
    across = min(inside_w, inside_h)
    pitch = piece.cell_m + piece.hole_m
    _positive(bench, pitch < across, "cell_m", "slats and slots narrower than the box")
    slats = int((across + piece.hole_m) / pitch + 1e-6)
    slot = (across - slats * piece.cell_m) / (slats + 1)
    fitting = [
        b.item
        for b in boards_of(bench.job.shop, piece)
        if abs(b.wide_m - piece.cell_m) < M_PER_IN / 16
    ]
    stock = bench.item(fitting[-1] if fitting else "slat board", "slat")
    bench.cut(
        "slat",
        stock,
        slats,
        (max(inside_w, inside_h), piece.cell_m),
        f"{bench.size(piece.front_m)} thick",
    )
    bench.steps += [
        f"{slats} slats with slots of {bench.exact(slot)} between them and at both edges: set "
        "them with a spacer of that thickness, from the middle outwards.",
        "Thin black cloth behind the slats, stapled to the rails, before the slats go on.",
    ]
    hz = slotted_hz(slot, piece.cell_m + slot, piece.front_m, cavity)
    _tuned(bench, hz)
    return {"tuned_hz": hz}


def perforated_parts(bench: Bench) -> dict[str, object]:
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
    bench.cut(
        "front",
        sheet,
        1,
        (inside_w, inside_h),
        f"{columns} x {rows} holes of {bench.size(piece.hole_m)}",
    )
    edges = [
        (side - (n - 1) * piece.cell_m) / 2 for side, n in ((inside_w, columns), (inside_h, rows))
    ]
    bench.steps += [
        f"Drill {columns} x {rows} holes of {bench.size(piece.hole_m)} every "
        f"{bench.exact(piece.cell_m)}; the first ones {bench.exact(edges[0])} from the left and "
        f"{bench.exact(edges[1])} from the top: a sharp bit and a backing board, or a drilling "
        "jig.",
        "Thin cloth glued behind the holes at their edges alone: glue in the holes closes them.",
    ]
    hz = perforated_hz(piece.hole_m, piece.cell_m, piece.front_m, cavity)
    _tuned(bench, hz)
    return {"tuned_hz": hz}


def membrane_parts(bench: Bench) -> dict[str, object]:
    """A limp front sealed to a box whose fill must not touch it."""
    piece, practice = bench.piece, bench.practice
    inside_w, inside_h, cavity = _box(bench)
    sheet = bench.plywood(piece.front_m)
    bench.cut(
        "membrane", sheet, 1, (inside_w, inside_h), "lies on a bead, fixed at its edges alone"
    )
    mass = piece.front_m * practice.plywood_kg_m3
    bench.steps += [
        (
            "A bead of soft sealant all round, the sheet laid in it and held by a loose strip: no "
            "screws through it."
        ),
        (
            "The fill is held at the back, with air between it and the sheet: a sheet that touches "
            "it does not swing."
        ),
        "Seal every joint of the box: a leak detunes it.",
    ]
    if piece.fill_m > cavity - 0.25 * M_PER_IN:
        bench.said.append(
            f"The fill of {bench.size(piece.fill_m)} leaves no air before a cavity of "
            f"{bench.size(cavity)}: it must not touch the sheet."
        )
    hz = membrane_hz(mass, cavity)
    _tuned(bench, hz)
    return {"tuned_hz": hz}


def _box(bench: Bench) -> tuple[float, float, float]:
    """Frame, back, fill and cleats; inside width and height, and depth of the cavity behind the
    front. [m]"""
    piece, practice, board = bench.piece, bench.practice, bench.board
    inside_w, inside_h = piece.width_m - 2 * board.thick_m, piece.height_m - 2 * board.thick_m
    cavity = (
        min(board.wide_m, piece.depth_m) - practice.cleat_m - practice.backing_m - piece.front_m
    )
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
    bench.cut(
        "back", bench.plywood(bench.practice.backing_m), 1, (inside_w, inside_h), "glued and sealed"
    )
    if piece.fill_m > 0:
        _fill(bench, inside_w, inside_h)
    bench.cleats()
    bench.steps.append(
        f"Cavity behind the front: {bench.size(cavity)} deep. Back and frame glued and sealed, "
        "screws and bead."
    )
    bench.said += [cautions.SAW, cautions.DUST, cautions.WOOL, cautions.FIRE, cautions.FINISH]
    bench.finish(
        (("front and frame", inside_w * inside_h + 4 * board.wide_m * (inside_w + inside_h)),), 0.0
    )
    return inside_w, inside_h, cavity


def _fill(bench: Bench, inside_w: float, inside_h: float) -> None:
    item = bench.item("core board", "wool")
    board = core_board_m(item) or (*bench.practice.core_board_m, bench.piece.fill_m)
    count, size = core_boards((inside_w, inside_h), board)
    layers = max(round(bench.piece.fill_m / board[2]), 1)
    bench.cut("fill", item, layers * count, size, "knife, not a saw; wrapped in scrim")


def _tuned(bench: Bench, hz: float) -> None:
    front = bench.piece.front_m
    stock = next((cut.stock for cut in bench.cuts if cut.part in ("slat", "front", "membrane")), "")
    found = thickness_m(stock)
    if found is not None and "plywood" in stock and abs(found - front) > M_PER_IN / 32:
        bench.said.append(
            f"The front should be {bench.size(front)} thick; {stock!r} is {bench.size(found)}: "
            "name the right sheet in `needs`."
        )
    bench.said.append(f"Resonates at about {hz:.0f} Hz. {_TUNING}")


def _positive(bench: Bench, fine: bool, argument: str, needed: str) -> None:
    if not fine:
        piece = bench.piece
        found = (
            f"{piece.name!r} of {piece.width_m:.3f} x {piece.height_m:.3f} x {piece.depth_m:.3f} m"
        )
        raise PanelError(argument, found, needed)
