"""Where texts stand on a drawing so that none covers another: boxes, places beside what they name,
leaders, chains of dimensions.

Everything is in millimetres on paper, x to the right, y up. A text's box is that of DejaVu Sans,
which the documents are drawn with; most fonts that a browser has instead are narrower.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from math import cos, hypot, inf, pi, sin
from pathlib import Path
from typing import TYPE_CHECKING

from roomcheck.signs import visible

if TYPE_CHECKING:
    from matplotlib.ft2font import FT2Font

Spot = tuple[float, float]
"""A place on paper. [mm]"""

SMALL_MM, USUAL_MM = 2.3, 2.8
"""Sizes of letters: of dimensions, of names. [mm]"""
LINE = 1.2
"""From one line of text to the next, in sizes of its letters. [1]"""
_OVER, _UNDER = 0.78, 0.24
"""Of a line above and below its baseline, in sizes of its letters. [1]"""
_AWAY_MM = (1.2, 3.0, 5.5, 8.5, 12.0, 16.0, 21.0, 27.0, 34.0, 42.0)
"""How far from what it names a text is tried. [mm]"""
_INSIDE = (0.0, 0.5, -0.5, 0.9, -0.9)
"""Heights that are tried inside, from the middle: shares of the way to the edge. [1]"""
_WAYS = 16
"""Directions that are tried, from the right on, against the clock."""
_BETWEEN_MM = 0.3
"""Two texts keep so far apart. [mm]"""
_TOUCHING_MM = 2.0
"""A text that near needs no leader. [mm]"""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on paper. [mm]"""

    left_mm: float
    bottom_mm: float
    right_mm: float
    top_mm: float

    @property
    def centre(self) -> Spot:
        return (self.left_mm + self.right_mm) / 2, (self.bottom_mm + self.top_mm) / 2

    @property
    def width_mm(self) -> float:
        return self.right_mm - self.left_mm

    @property
    def height_mm(self) -> float:
        return self.top_mm - self.bottom_mm

    def covers(self, other: Box) -> bool:
        """Whether both have area in common; boxes that only touch do not.

        >>> Box(0, 0, 2, 2).covers(Box(1, 1, 3, 3)), Box(0, 0, 2, 2).covers(Box(2, 0, 3, 2))
        (True, False)
        """
        wide = min(self.right_mm, other.right_mm) - max(self.left_mm, other.left_mm)
        high = min(self.top_mm, other.top_mm) - max(self.bottom_mm, other.bottom_mm)
        return wide > 1e-9 and high > 1e-9

    def holds(self, other: Box) -> bool:
        """Whether another box lies wholly within this one.

        >>> Box(0, 0, 4, 4).holds(Box(1, 1, 3, 4))
        True
        """
        return (
            self.left_mm <= other.left_mm + 1e-9
            and self.bottom_mm <= other.bottom_mm + 1e-9
            and self.right_mm >= other.right_mm - 1e-9
            and self.top_mm >= other.top_mm - 1e-9
        )

    def grown(self, by_mm: float) -> Box:
        """The box with so much more on every side. [mm]"""
        left, bottom = self.left_mm - by_mm, self.bottom_mm - by_mm
        return Box(left, bottom, self.right_mm + by_mm, self.top_mm + by_mm)

    def nearest(self, spot: Spot) -> Spot:
        """The place of the box that is nearest to another place. [mm]"""
        x, y = spot
        x = min(max(x, self.left_mm), self.right_mm)
        return x, min(max(y, self.bottom_mm), self.top_mm)

    def crossed_by(self, a: Spot, b: Spot) -> bool:
        """Whether a straight line from one place to another goes through the inside.

        >>> Box(1, 1, 2, 2).crossed_by((0, 0), (3, 3)), Box(1, 1, 2, 2).crossed_by((0, 0), (3, 0))
        (True, False)
        """
        first, last = 0.0, 1.0
        sides = ((self.left_mm, self.right_mm), (self.bottom_mm, self.top_mm))
        for start, end, (low, high) in zip(a, b, sides, strict=True):
            step = end - start
            if abs(step) < 1e-12:
                if not low + 1e-9 < start < high - 1e-9:
                    return False
                continue
            enter, leave = sorted(((low - start) / step, (high - start) / step))
            first, last = max(first, enter), min(last, leave)
        return last - first > 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """What is to be written at a place, where there is room."""

    lines: tuple[str, ...]
    """As it is best written; a box that is too small for them has the first one alone."""
    whole: bool = False
    """Whether all lines or none are written."""
    home: Box
    """What it names: it stands inside where it fits, else beside with a leader."""
    size_mm: float = USUAL_MM
    priority: int = 0
    """Lower numbers are placed first."""
    bold: bool = False
    toward_rad: float = 0.0
    """The way that is tried first where it stands beside: from the right on, against the clock
    [rad]."""
    quiet: bool = False
    """Whether it is drawn in the weaker ink."""
    most_mm: float = inf
    """It stands no further off; where there is no room so near, it is left out [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A label at its place."""

    label: Label
    lines: tuple[str, ...]
    box: Box
    leader: tuple[Spot, Spot] | None = None
    """From what it names to the text; None where that is plain."""


def text_width_mm(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Width of one line of DejaVu Sans. [mm]

    >>> round(text_width_mm("48 in", 2.5), 2)
    6.25
    """
    return size_mm * sum(_advance(sign, bold) for sign in visible(text))


@lru_cache(maxsize=4096)
def _advance(sign: str, bold: bool) -> float:
    """Width of one sign, in sizes of the letters; of one that the font has not, its box. [1]"""
    font = _font(bold)
    font.set_size(1000, 72)
    return float(font.load_glyph(font.get_char_index(ord(sign))).linearHoriAdvance) / 65536 / 1000


@lru_cache(maxsize=2)
def _font(bold: bool) -> FT2Font:
    """DejaVu Sans, which comes with matplotlib."""
    import matplotlib as mpl
    from matplotlib.ft2font import FT2Font

    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return FT2Font(str(Path(mpl.get_data_path()) / "fonts" / "ttf" / name))


def lines_size_mm(lines: Sequence[str], size_mm: float, *, bold: bool = False) -> Spot:
    """Width and height of some lines of text. [mm]"""
    wide = max((text_width_mm(line, size_mm, bold=bold) for line in lines), default=0.0)
    return wide, size_mm * (LINE * (len(lines) - 1) + _OVER + _UNDER)


def box_round(centre: Spot, size_mm: Spot) -> Box:
    """A box of a width and height round its middle. [mm]"""
    (x, y), (wide, high) = centre, size_mm
    return Box(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)


def place_labels(
    labels: Sequence[Label], sheet: Box, taken: Sequence[Box] = (), *, avoid: Sequence[Box] = ()
) -> tuple[tuple[Placed, ...], tuple[Label, ...]]:
    """Place labels so that no text covers another, nor what is taken, nor leaves the sheet.

    Parameters
    ----------
    labels : sequence of Label
        Those of lower priority numbers first, then the smaller homes.
    sheet : Box
        No text reaches beyond.
    taken : sequence of Box
        Texts that stand already.
    avoid : sequence of Box
        What no text beside its own thing covers while there is another place for it.

    Returns
    -------
    placed : tuple of Placed
        In the order of the labels.
    left_out : tuple of Label
        Those for which there is no room anywhere near; a list under the drawing names them.
    """
    busy = list(taken)
    leaders: list[tuple[Spot, Spot]] = []
    found: dict[int, Placed] = {}
    order = sorted(range(len(labels)), key=lambda i: (labels[i].priority, i))
    for i in order:
        placed = _best(labels[i], sheet, busy, leaders, avoid)
        if placed is not None:
            found[i] = placed
            busy.append(placed.box.grown(_BETWEEN_MM))
            if placed.leader is not None:
                leaders.append(placed.leader)
    left_out = tuple(label for i, label in enumerate(labels) if i not in found)
    return tuple(found[i] for i in sorted(found)), left_out


def _best(
    label: Label,
    sheet: Box,
    busy: Sequence[Box],
    leaders: Sequence[tuple[Spot, Spot]],
    avoid: Sequence[Box],
) -> Placed | None:
    """The first place that is free, one that covers nothing to be avoided before one that does."""
    second = None
    for placed in _ways(label):
        if not _free(placed, sheet, busy, leaders):
            continue
        inside = label.home.holds(placed.box)
        if inside or not any(placed.box.covers(box) for box in avoid):
            return placed
        second = second or placed
    return second


def _ways(label: Label) -> Iterator[Placed]:
    """Places to try, the best first: inside with all lines, inside with the first, then beside."""
    first = label.lines if label.whole else label.lines[:1]
    for lines in dict.fromkeys((label.lines, first)):
        box = box_round(label.home.centre, lines_size_mm(lines, label.size_mm, bold=label.bold))
        inside = label.home.grown(-0.4)
        for share in _INSIDE:
            moved = _raised(box, share * (inside.height_mm - box.height_mm) / 2)
            if inside.holds(moved):
                yield Placed(label=label, lines=lines, box=moved)
    near = [away for away in _AWAY_MM if away <= label.most_mm]
    for lines, away in product(dict.fromkeys((first, label.lines)), near):
        for way in range(_WAYS):
            yield _beside(label, lines, away, label.toward_rad + 2 * pi * way / _WAYS)


def _raised(box: Box, by_mm: float) -> Box:
    """The same box higher up. [mm]"""
    return Box(box.left_mm, box.bottom_mm + by_mm, box.right_mm, box.top_mm + by_mm)


def _beside(label: Label, lines: tuple[str, ...], away_mm: float, angle: float) -> Placed:
    """The label so far off the edge of what it names, in a direction. [mm], [rad]"""
    wide, high = lines_size_mm(lines, label.size_mm, bold=label.bold)
    home = label.home
    x = home.centre[0] + cos(angle) * (home.width_mm / 2 + away_mm + wide / 2)
    y = home.centre[1] + sin(angle) * (home.height_mm / 2 + away_mm + high / 2)
    box = box_round((x, y), (wide, high))
    start = home.nearest((x, y))
    end = box.nearest(start)
    if hypot(end[0] - start[0], end[1] - start[1]) <= _TOUCHING_MM:
        return Placed(label=label, lines=lines, box=box)
    return Placed(label=label, lines=lines, box=box, leader=(start, end))


def _free(
    placed: Placed, sheet: Box, busy: Sequence[Box], leaders: Sequence[tuple[Spot, Spot]]
) -> bool:
    if not sheet.holds(placed.box) or any(placed.box.covers(box) for box in busy):
        return False
    if any(placed.box.crossed_by(*leader) for leader in leaders):
        return False
    if placed.leader is None:
        return True
    a, b = placed.leader
    if any(box.crossed_by(a, b) for box in busy):
        return False
    return not any(_cross(a, b, *leader) for leader in leaders)


def _cross(a: Spot, b: Spot, c: Spot, d: Spot) -> bool:
    """Whether two lines cross between their ends."""

    def side(p: Spot, q: Spot, r: Spot) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def spread(values: Sequence[float], least: float, low: float, high: float) -> list[float]:
    """Places for labels along a line, as near to their values as the least distance allows, and
    none beyond the ends.

    Parameters
    ----------
    values : sequence of float
        The smallest first. [mm]
    least : float
        Distance of two neighbours. [mm]
    low, high : float
        Ends of the line. [mm]

    Raises
    ------
    ValueError
        The line is too short for so many.

    Examples
    --------
    >>> [round(x, 6) for x in spread([0.0, 0.1, 1.0], 0.2, -1.0, 2.0)]
    [-0.05, 0.15, 1.0]
    >>> [round(x, 6) for x in spread([0.0, 0.1, 1.0], 0.2, 0.0, 2.0)]
    [0.0, 0.2, 1.0]
    """
    if (len(values) - 1) * least > high - low + 1e-9:
        raise ValueError(
            f"values: found {len(values)} labels, needed {least:g} each on {high - low:g}"
        )
    # Neighbours that stand too close become one group about their mean, as often as groups collide;
    # a group that would leave the line stands at its end.
    groups: list[tuple[float, int, float]] = []
    for value in values:
        groups.append((value, 1, _within(value, 1, least, low, high)))
        while len(groups) > 1 and _collide(groups[-2], groups[-1], least):
            (a, n, _), (b, m, _) = groups[-2:]
            mean = (a * n + b * m) / (n + m)
            groups[-2:] = [(mean, n + m, _within(mean, n + m, least, low, high))]
    return [centre + (i - (n - 1) / 2) * least for _, n, centre in groups for i in range(n)]


def _within(mean: float, count: int, least: float, low: float, high: float) -> float:
    half = (count - 1) / 2 * least
    return min(max(mean, low + half), high - half)


def _collide(one: tuple[float, int, float], two: tuple[float, int, float], least: float) -> bool:
    (_, n, a), (_, m, b) = one, two
    return b - (m - 1) / 2 * least - (a + (n - 1) / 2 * least) < least - 1e-9
