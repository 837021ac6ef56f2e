"""Names on a drawing, so that none covers another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from math import cos, pi, sin

LETTER_PT = 7.5
"""Height of the letters. [pt]"""
_WIDE = 0.68
"""Width of a letter, at the most on average, as a share of its height. [1]"""
_GAP_PT = 1.0


@dataclass(frozen=True, slots=True)
class Name:
    """A text and the place that it is about."""

    text: str
    x_pt: float
    y_pt: float
    letter_pt: float = LETTER_PT
    quiet: bool = False
    """Whether it may be left out where there is no room."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A text in its place on the sheet."""

    name: Name
    x_pt: float
    """Middle of its box [pt]."""
    y_pt: float
    """Middle of its box [pt]."""
    wide_pt: float
    high_pt: float

    @property
    def away(self) -> bool:
        """Whether it stands so far from its place that a line has to lead there."""
        off = (abs(self.x_pt - self.name.x_pt), abs(self.y_pt - self.name.y_pt))
        return off[0] > self.wide_pt / 2 + _GAP_PT or off[1] > self.high_pt / 2 + _GAP_PT

    def meets(self, other: Placed) -> bool:
        """Whether two boxes have an area in common."""
        return (
            abs(self.x_pt - other.x_pt) < (self.wide_pt + other.wide_pt) / 2
            and abs(self.y_pt - other.y_pt) < (self.high_pt + other.high_pt) / 2
        )

    def within(self, width_pt: float, height_pt: float) -> bool:
        """Whether the box lies on the sheet."""
        return (
            self.wide_pt / 2 <= self.x_pt <= width_pt - self.wide_pt / 2
            and self.high_pt / 2 <= self.y_pt <= height_pt - self.high_pt / 2
        )


def place_names(
    names: Sequence[Name],
    width_pt: float,
    height_pt: float,
    taken: Sequence[tuple[float, float, float]] = (),
) -> tuple[Placed, ...]:
    """Set each name at its place or as near to it as the others leave room, the first first.

    A name that finds no room on the sheet is left out where it is quiet; else the sheet is too
    small, which a ValueError says.

    Parameters
    ----------
    taken : sequence of (x, y, side)
        Squares that stay free, by their middles. [pt]
    """
    nothing = Name("", 0.0, 0.0)
    kept_free = [Placed(nothing, x, y, side, side) for x, y, side in taken]
    placed: list[Placed] = []
    for name in names:
        box = next(
            (
                box
                for box in _tries(name)
                if box.within(width_pt, height_pt)
                and not any(map(box.meets, [*kept_free, *placed]))
            ),
            None,
        )
        if box is not None:
            placed.append(box)
        elif not name.quiet:
            raise ValueError(
                f"names: no room for {name.text!r} on {width_pt:.0f} x {height_pt:.0f} pt"
            )
    return tuple(placed)


def width_of(name: Name) -> float:
    """Width of a name's box. [pt]"""
    return _WIDE * name.letter_pt * len(name.text) + 2 * _GAP_PT


def _tries(name: Name) -> list[Placed]:
    """Boxes at the place itself, then round it, wider and wider."""
    wide = width_of(name)
    high = 1.15 * name.letter_pt
    boxes = [Placed(name, name.x_pt, name.y_pt, wide, high)]
    for ring, step in product(range(1, 60), range(16)):
        angle, far = step * pi / 8 + pi / 2, 0.45 * ring
        x = name.x_pt + far * (wide / 2 + high) * cos(angle)
        y = name.y_pt - far * 1.4 * high * sin(angle)
        boxes.append(Placed(name, x, y, wide, high))
    return boxes
