"""Fabric: pieces nested on the roll's width."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from roomcheck.errors import RoomcheckError
from roomcheck.units import both


class FabricTooWide(RoomcheckError):
    """A cut that does not fit across the roll either way."""

    def __init__(self, *, width_m: float, length_m: float, usable_m: float) -> None:
        self.width_m, self.length_m, self.usable_m = width_m, length_m, usable_m
        super().__init__(
            f"fabric: a piece of {both(width_m)} x {both(length_m)} does not fit across "
            f"{both(usable_m)} of roll either way. Take a wider roll or a smaller panel."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class FabricRow:
    """Pieces side by side across the roll."""

    length_m: float
    """Along the roll [m]."""
    pieces: tuple[tuple[float, float], ...]
    """Across and along the roll [m]."""


def fabric_cut(
    width_m: float, height_m: float, depth_m: float, wrap_m: float
) -> tuple[float, float]:
    """Size the fabric of a wrapped panel: face, both edges, and what is stapled behind. [m]

    >>> tuple(round(side / 0.0254, 6) for side in fabric_cut(0.6096, 1.2192, 0.0508, 0.0508))
    (32.0, 56.0)
    """
    extra = 2 * (depth_m + wrap_m)
    return width_m + extra, height_m + extra


def nest(
    pieces: Sequence[tuple[float, float]], roll_m: float, selvedge_m: float, *, turns: bool = True
) -> tuple[FabricRow, ...]:
    """Lay pieces in rows across a roll.

    Equal pieces all lie the way that takes the least length; longer rows are filled with smaller
    pieces first.

    Parameters
    ----------
    pieces : sequence of (width, height)
        [m]
    roll_m, selvedge_m : float
        Width of the roll, and what of it is selvedge. [m]
    turns : bool
        False for a nap or pattern: the height stays along the roll.

    Returns
    -------
    tuple of FabricRow
        Their lengths add up to the fabric needed. [m]

    Raises
    ------
    FabricTooWide
    """
    usable = roll_m - selvedge_m
    laid = []
    for kind in sorted(set(pieces), reverse=True):
        count = list(pieces).count(kind)
        laid += [_way(kind, count, usable, turns)] * count
    rows: list[list[tuple[float, float]]] = []
    for across, along in sorted(laid, key=lambda p: (-p[1], -p[0])):
        free = [row for row in rows if sum(p[0] for p in row) + across <= usable + 1e-9]
        if free:
            min(free, key=lambda row: usable - sum(p[0] for p in row)).append((across, along))
        else:
            rows.append([(across, along)])
    return tuple(FabricRow(length_m=max(p[1] for p in row), pieces=tuple(row)) for row in rows)


def _way(kind: tuple[float, float], count: int, usable: float, turns: bool) -> tuple[float, float]:
    """The way round that takes the least length for so many equal pieces."""
    ways = [kind, (kind[1], kind[0])] if turns else [kind]
    fits = [(across, along) for across, along in ways if across <= usable + 1e-9]
    if not fits:
        raise FabricTooWide(width_m=kind[0], length_m=kind[1], usable_m=usable)
    return min(fits, key=lambda way: (-(-count // int((usable + 1e-9) // way[0])) * way[1], way[1]))
