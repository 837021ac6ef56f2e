"""How many sticks lie side by side, how large that makes the panel, and which pattern it
carries."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.job import ShopPractice, StockPiece
from roomcheck.units import both
from roomcheck.workshop.patterns.blocks import BlockArray, PanelError, drawn_array, whole_cells
from roomcheck.workshop.patterns.patterns import number_array

_STICK_OFF = 0.1
"""A measured stick further than this from the nominal cell, as a share of it, is another stick or
another unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """A panel of whole sticks."""

    columns: int
    rows: int
    cell_m: float
    """Section of the stick as measured [m]."""
    width_m: float
    """Of the laid array [m]."""
    height_m: float
    """Of the laid array [m]."""
    over_width_m: float
    """By how much the array is wider than was asked (for an opening: than what the frame leaves);
    negative where narrower [m]."""
    over_height_m: float
    """[m]"""


def framing_m(practice: ShopPractice) -> float:
    """What frame and clearance add on both sides together. [m]"""
    return 2 * (practice.clearance_m + practice.board_m)


def lay_out(piece: StockPiece, practice: ShopPractice) -> Layout:
    """Sticks of a block panel, as thick as they measured.

    A panel of a drawn size has as many sticks as its nominal cell gives, whatever they measure:
    then the array is larger or smaller than drawn. A panel for an opening has as many measured
    sticks as the opening holds beside its frame.

    Raises
    ------
    PanelError
        The opening holds no frame, the cell is larger than the panel, or the measured stick is no
        such stick.
    """
    cell = practice.stick_m or piece.cell_m
    if abs(cell - piece.cell_m) > _STICK_OFF * piece.cell_m:
        raise PanelError(
            "stick",
            f"{both(cell)} as measured",
            f"something near the {both(piece.cell_m)} of {piece.name!r}",
        )
    room = [piece.width_m, piece.height_m]
    if piece.fits == "opening":
        room = [side - framing_m(practice) for side in room]
        if min(room) <= 0:
            raise PanelError(
                "opening", both(min(piece.width_m, piece.height_m)), "more than its frame takes"
            )
    by = cell if piece.fits == "opening" else piece.cell_m
    columns, rows = (
        whole_cells(name, side, by)[0]
        for name, side in zip(("width_m", "height_m"), room, strict=True)
    )
    return Layout(
        columns=columns,
        rows=rows,
        cell_m=cell,
        width_m=columns * cell,
        height_m=rows * cell,
        over_width_m=columns * cell - room[0],
        over_height_m=rows * cell - room[1],
    )


def block_array(piece: StockPiece, practice: ShopPractice) -> BlockArray:
    """The panel's pattern on its sticks: drawn from the piece's seed, or by number theory."""
    laid = lay_out(piece, practice)
    size = (laid.columns, laid.rows, laid.cell_m)
    if piece.pattern is None:
        return drawn_array(*size, piece.steps_m, piece.seed)
    return number_array(*size, piece.steps_m, piece.pattern)


def outside_m(piece: StockPiece, practice: ShopPractice) -> tuple[float, float]:
    """Width and height of a piece as it hangs, frame and all. [m]

    A block panel's frame goes round its array as measured, a panel's round its core where its sizes
    are the core's; every other piece's sizes are outside sizes already.
    """
    if piece.kind != "block diffuser":
        more = framing_m(practice) if piece.fits == "core" else 0.0
        return piece.width_m + more, piece.height_m + more
    laid, more = lay_out(piece, practice), framing_m(practice)
    return laid.width_m + more, laid.height_m + more
