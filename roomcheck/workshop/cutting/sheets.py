"""Parts out of sheets of plywood: rips across the sheet, so that every cut runs from edge to
edge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from roomcheck.errors import RoomcheckError
from roomcheck.units import both


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
    """A strip across one sheet.

    Attributes
    ----------
    sheet : int
        From 1.
    width_m : float
        [m]
    parts : tuple of (across the strip, along it)
        [m]
    """

    sheet: int
    width_m: float
    parts: tuple[tuple[float, float], ...]


def rip_plan(
    parts: Sequence[tuple[float, float]],
    sheet_m: tuple[float, float],
    kerf_m: float,
    item: str = "",
) -> tuple[Rip, ...]:
    """Widest parts first, each into the first strip with room, strips into the first sheet with
    room.

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
    tiny = 1e-9
    turned = []
    for a, b in parts:
        ways = [
            (w, n) for w, n in ((min(a, b), max(a, b)), (max(a, b), min(a, b))) if n <= along + tiny
        ]
        ways = [(w, n) for w, n in ways if w <= across + tiny]
        if not ways:
            return None
        turned.append(ways[0])
    strips: list[list[tuple[float, float]]] = []
    for part in sorted(turned, reverse=True):
        row = next(
            (s for s in strips if sum(p[1] + kerf for p in s) + part[1] <= along + tiny), None
        )
        if row is None:
            strips.append([part])
        else:
            row.append(part)
    used: list[float] = []
    rips = []
    for strip in strips:
        width = strip[0][0]
        place = next((i for i, u in enumerate(used) if u + width <= across + tiny), None)
        if place is None:
            place = len(used)
            used.append(0.0)
        used[place] += width + kerf
        rips.append(Rip(sheet=place + 1, width_m=width, parts=tuple(strip)))
    return tuple(rips)
