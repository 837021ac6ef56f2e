"""Solid corner traps: triangles of core board stacked from floor to ceiling, behind a face frame
with fabric."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Any

from roomcheck.facts import fact
from roomcheck.units import M_PER_IN, both
from roomcheck.workshop.kinds import Caution, Note, Part, Step
from roomcheck.workshop.parts.bench import Bench
from roomcheck.workshop.patterns.blocks import PanelError

_SHELF_M = 30 * M_PER_IN
_USUAL_CORE_M = 2 * M_PER_IN


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """Triangles for one corner."""

    leg_m: float
    """On each wall [m]."""
    square_m: float
    """Side of the square of board that the triangles come from [m]."""
    per_square: int
    per_board: int
    layers: int
    boards: int
    volume_m3: float
    """[m3]"""


def triangles(face_m: float, height_m: float, board_m: tuple[float, float, float]) -> Stack:
    """Half-square triangles out of core boards: squares of the leg cut corner to corner, or, where
    twice as many come out, squares as wide as the face cut along both diagonals.

    Parameters
    ----------
    face_m, height_m : float
        Across the corner, and floor to top. [m]
    board_m : (width, length, thickness)
        [m]

    Raises
    ------
    PanelError
        No such triangle comes out of the board.

    Examples
    --------
    >>> found = triangles(24, 96, (24, 48, 2))
    >>> found.per_board, found.layers, found.boards
    (8, 48, 6)
    >>> triangles(33.94, 96, (24, 48, 2)).per_board
    4
    """
    wide, long, thick = board_m
    leg = face_m / 2**0.5
    # A pencil's width forgives a leg that is the board's own width.
    room = 1 + 2e-3
    by_leg = 2 * int(wide * room / leg) * int(long * room / leg)
    by_face = 4 * int(wide * room / face_m) * int(long * room / face_m)
    per_board = max(by_leg, by_face)
    if per_board == 0:
        raise PanelError(
            "width_m",
            f"a face of {both(face_m)}",
            f"at most {both(wide * 2**0.5)} out of such a board",
        )
    layers = int(height_m / thick + 1e-6)
    return Stack(
        leg_m=leg,
        square_m=min(leg if by_leg >= by_face else face_m, wide),
        per_square=2 if by_leg >= by_face else 4,
        per_board=per_board,
        layers=layers,
        boards=-(-layers // per_board),
        volume_m3=leg * leg / 2 * layers * thick,
    )


def stack_parts(bench: Bench) -> dict[str, Any]:
    """Draft triangles, shelves, a face frame and its fabric."""
    piece, practice, board = bench.piece, bench.practice, bench.board
    thick_m = piece.core.thickness_m if piece.core else _USUAL_CORE_M
    stock, core_board = bench.core_board(thick_m)
    shelves = max(int(piece.height_m / _SHELF_M + 1e-6) - 1, 0)
    filled_m = piece.height_m - shelves * practice.cleat_m
    stack = triangles(piece.width_m, filled_m, core_board)
    squares = ceil(stack.layers / stack.per_square)
    note = fact(
        Note.TRIANGLES,
        per_square=stack.per_square,
        per_board=stack.per_board,
        boards=stack.boards,
    )
    bench.cut(Part.CORE_SQUARE, stock, squares, (stack.square_m, stack.square_m), note)
    inside = (piece.width_m - 2 * board.thick_m, piece.height_m - 2 * board.thick_m)
    bench.frame(*inside, 0.0)
    bench.fabric(piece.width_m, piece.height_m, board.wide_m)
    plywood = bench.plywood(practice.cleat_m)
    squares = ceil(shelves * bench.count / 2)
    bench.cut_all(Part.SHELF, plywood, squares, (stack.leg_m, stack.leg_m), fact(Note.SHELF))
    strip = (piece.height_m, bench.strip_m)
    bench.cut_joined(Part.WALL_STRIP, plywood, 2 * bench.count, strip, fact(Note.ONE_EDGE_BEVELLED))
    bench.step(
        Step.CUT_TRIANGLES,
        layers=stack.layers,
        leg_m=stack.leg_m,
        per_board=stack.per_board,
        boards=stack.boards,
    )
    bench.step(Step.SHELVE_STACK, spacing_m=_SHELF_M)
    bench.step(Step.TIE_STACK)
    for kind in (Caution.SAW, Caution.DUST, Caution.WOOL, Caution.FIRE):
        bench.caution(kind)
    return {}
