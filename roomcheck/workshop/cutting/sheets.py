"""Parts out of sheets of plywood: rips across the sheet, so that every cut runs from edge to
edge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from roomcheck.errors import RoomcheckError
from roomcheck.units import both

_TINY_M = 1e-9
"""What is lost on the way from inches to binary metres."""


class PartTooLarge(RoomcheckError):
    """A part that no sheet holds."""

    def __init__(
        self, *, width_m: float, length_m: float, sheet_m: tuple[float, float], item: str = ""
    ) -> None:
        self.width_m, self.length_m, self.sheet_m, self.item = width_m, length_m, sheet_m, item
        super().__init__(
            f"{item or 'cutting'}: a part of {both(width_m)} x {both(length_m)} does not come "
            f"out of a sheet of {both(sheet_m[0])} x {both(sheet_m[1])}. Enter a larger sheet in "
            "shop.toml, or join two parts."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Rip:
    """A strip across one sheet."""

    sheet: int
    """From 1."""
    width_m: float
    """[m]"""
    parts: tuple[tuple[float, float], ...]
    """Across the strip, and along it [m]."""


def rip_plan(
    parts: Sequence[tuple[float, float]],
    sheet_m: tuple[float, float],
    kerf_m: float,
    item: str = "",
) -> tuple[Rip, ...]:
    """Lay the widest parts first, each into the first strip with room, strips into the first sheet
    with room.

    Both ways of ripping, along the sheet and across it, are tried; the one with fewer sheets is
    kept. The plan can be cut as it stands; it is not proved to be the least.

    Parameters
    ----------
    parts : sequence of (width, length)
        [m]
    sheet_m : (width, length)
        [m]
    kerf_m : float
        [m]
    item : str
        Named in the error.

    Raises
    ------
    PartTooLarge
    """
    plans = [_ripped(parts, along, across, kerf_m) for along, across in (sheet_m[::-1], sheet_m)]
    able = [plan for plan in plans if plan is not None]
    if not able:
        too_large = [
            p for p in parts if max(p) > max(sheet_m) + 1e-9 or min(p) > min(sheet_m) + 1e-9
        ]
        width, length = max(too_large or parts, key=max)
        raise PartTooLarge(width_m=width, length_m=length, sheet_m=sheet_m, item=item)
    return min(able, key=lambda plan: max((rip.sheet for rip in plan), default=0))


def _ripped(
    parts: Sequence[tuple[float, float]], along: float, across: float, kerf: float
) -> tuple[Rip, ...] | None:
    """Strips of one direction; None where a part fits neither way round. [m]"""
    turned = []
    for part in parts:
        way = _way(part, along, across)
        if way is None:
            return None
        turned.append(way)
    return _on_sheets(_strips(turned, along, kerf), across, kerf)


def _way(part: tuple[float, float], along: float, across: float) -> tuple[float, float] | None:
    """Width and length of a part on its strip, narrow where it fits. [m]"""
    narrow, long = sorted(part)
    for width, length in ((narrow, long), (long, narrow)):
        if length <= along + _TINY_M and width <= across + _TINY_M:
            return width, length
    return None


def _strips(
    parts: Sequence[tuple[float, float]], along: float, kerf: float
) -> list[list[tuple[float, float]]]:
    """Parts end to end, each in the first strip with room; a strip is as wide as its first."""
    strips: list[list[tuple[float, float]]] = []
    used: list[float] = []
    for width, length in sorted(parts, reverse=True):
        for number, taken in enumerate(used):
            if taken + length <= along + _TINY_M:
                strips[number].append((width, length))
                used[number] += length + kerf
                break
        else:
            strips.append([(width, length)])
            used.append(length + kerf)
    return strips


def _on_sheets(
    strips: Sequence[Sequence[tuple[float, float]]], across: float, kerf: float
) -> tuple[Rip, ...]:
    """Strips side by side, each on the first sheet with room."""
    used: list[float] = []
    rips = []
    for strip in strips:
        width = strip[0][0]
        free = [n for n, taken in enumerate(used) if taken + width <= across + _TINY_M]
        number = free[0] if free else len(used)
        if not free:
            used.append(0.0)
        used[number] += width + kerf
        rips.append(Rip(sheet=number + 1, width_m=width, parts=tuple(strip)))
    return tuple(rips)
