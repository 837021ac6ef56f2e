"""Drawings as DXF, release 12, plain text: lines, circles and words on named layers, in inches or
millimetres.

The format is published by its makers and read by every drawing program of the trade; release 12 is
the simplest that all of them take. Sizes are the room's own: a drawing program measures what a tape
would.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from roomcheck.geometry import Rectangle
from roomcheck.job import Units
from roomcheck.signs import visible
from roomcheck.units import M_PER_IN

LAYERS = {
    "OUTLINE": 7,
    "OPENINGS": 4,
    "KEEP-CLEAR": 1,
    "FRAMING": 8,
    "PIECES": 5,
    "REFLECTIONS": 6,
    "POSITIONS": 3,
    "DIMENSIONS": 2,
    "TEXT": 7,
}
"""Names and colour numbers of the layers."""


@dataclass
class DxfDrawing:
    """A drawing being made."""

    units: Units
    """Inches or millimetres."""
    entities: list[tuple[int, object]] = field(default_factory=list)

    def _size(self, length_m: float) -> float:
        if self.units == "imperial":
            return round(length_m / M_PER_IN, 6)
        return round(1000 * length_m, 4)

    def line(self, layer: str, a: tuple[float, float], b: tuple[float, float]) -> None:
        """A straight line between two places. [m]"""
        self.entities += [(0, "LINE"), (8, layer), *self._at(a), *self._at(b, 1)]

    def outline(self, layer: str, corners: Sequence[tuple[float, float]]) -> None:
        """A closed run of lines. [m]"""
        for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
            self.line(layer, a, b)

    def box(self, layer: str, r: Rectangle) -> None:
        self.outline(
            layer, ((r.u_m, r.v_m), (r.right_m, r.v_m), (r.right_m, r.top_m), (r.u_m, r.top_m))
        )

    def circle(self, layer: str, centre: tuple[float, float], radius_m: float) -> None:
        """[m]"""
        self.entities += [(0, "CIRCLE"), (8, layer), *self._at(centre), (40, self._size(radius_m))]

    def text(
        self,
        layer: str,
        corner: tuple[float, float],
        words: str,
        height_m: float,
        turned: float = 0.0,
    ) -> None:
        """Words from their lower left corner. [m], [deg]"""
        self.entities += [
            (0, "TEXT"),
            (8, layer),
            *self._at(corner),
            (40, self._size(height_m)),
            (1, ascii_of(words)),
        ]
        if turned:
            self.entities.append((50, turned))

    def _at(self, place: tuple[float, float], second: int = 0) -> list[tuple[int, object]]:
        return [
            (10 + second, self._size(place[0])),
            (20 + second, self._size(place[1])),
            (30 + second, 0.0),
        ]

    def dxf(self) -> str:
        """The whole file."""
        head: list[tuple[int, object]] = [
            (0, "SECTION"),
            (2, "HEADER"),
            (9, "$ACADVER"),
            (1, "AC1009"),
            (0, "ENDSEC"),
        ]
        head += [(0, "SECTION"), (2, "TABLES"), (0, "TABLE"), (2, "LAYER"), (70, len(LAYERS))]
        for name, colour in LAYERS.items():
            head += [(0, "LAYER"), (2, name), (70, 0), (62, colour), (6, "CONTINUOUS")]
        head += [(0, "ENDTAB"), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")]
        groups = (*head, *self.entities, (0, "ENDSEC"), (0, "EOF"))
        return "".join(f"{code:>3}\n{value}\n" for code, value in groups)


def ascii_of(words: str) -> str:
    """A text as release 12 can hold it: its own signs for degrees and diameters, nothing beyond
    ASCII.

    >>> ascii_of("24 in × 48 in, 70 °F")
    '24 in x 48 in, 70 %%dF'
    """
    # "%%" begins a sign of the format's own; "%%%" is how it writes a per cent sign.
    words = words.replace("%%", 2 * "%%%")
    for sign, plain in (("×", "x"), ("°", "%%d"), ("–", "-"), ("−", "-"), ("²", "2"), ("\n", " ")):
        words = words.replace(sign, plain)
    return "".join(c if c.isascii() and c.isprintable() else "?" for c in visible(words))
