"""What stands where in a room, as far as the job says it: no pixel, no line; a
colour only where one was chosen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from roomcheck.geometry import Point, Rectangle

Look = Literal["wood", "end grain", "plywood", "cloth", "felt", "wool"]
"""What a body shows to the eye."""

Role = Literal["source", "microphone", "seat"]

ThingKind = Literal["door", "window", "patch", "keep clear"]

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Axes:
    """A frame in the room: right and up as one looks at the thing, and out towards the eye."""

    origin: Point
    """Where its own 0, 0, 0 lies [m]."""
    right: Triple
    """Unit vector."""
    up: Triple
    """Unit vector."""
    out: Triple
    """Unit vector; left-handed with the other two on a ceiling, which is drawn from above."""

    def to_room(self, right_m: float, up_m: float, out_m: float) -> Point:
        """A place of the frame in the room's. [m]"""
        (x, y, z), right, up, out = self.origin, self.right, self.up, self.out
        return Point(
            x + (right_m * right[0] + up_m * up[0] + out_m * out[0]),
            y + (right_m * right[1] + up_m * up[1] + out_m * out[1]),
            z + (right_m * right[2] + up_m * up[2] + out_m * out[2]),
        )

    @property
    def all(self) -> tuple[Triple, Triple, Triple]:
        return self.right, self.up, self.out


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """One convex part of a piece, in the piece's frame: from the lower left corner of its back."""

    part: str
    """What the cut list calls it."""
    look: Look
    at_m: Triple
    """Its corner: to the right, up, out of the wall [m]."""
    size_m: Triple
    """[m]"""
    wedge: bool = False
    """Whether it is three-cornered seen from above: as wide as its size in front, an edge in the
    middle of its back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A kind of piece as it is built, upright."""

    piece: str
    """Name of the stock piece."""
    width_m: float
    """Outside, with its frame [m]."""
    height_m: float
    """Outside, with its frame [m]."""
    depth_m: float
    """From the frame's back to its front [m]."""
    off_m: float
    """From the face to the frame's back [m]."""
    outside: tuple[Body, ...]
    """What is seen once it is made."""
    inside: tuple[Body, ...]
    """Every part, for a drawing of how it goes together."""
    relief: bool
    """Whether its front is blocks or wells."""
    colours: tuple[tuple[Look, str], ...] = ()
    """What was chosen for it, "#3f4347" and the like; empty where nobody chose."""

    def colour(self, look: Look) -> str | None:
        """The colour chosen for what looks so, None where nobody chose."""
        return dict(self.colours).get(look)


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A piece where it hangs."""

    name: str
    """"A1", "A2", …"""
    piece: str
    """Name of the stock piece: that of its shape."""
    face: str
    axes: Axes
    """Frame of the upright piece: its origin is the lower left corner of the frame's back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """Something flat on a face."""

    name: str
    kind: ThingKind
    """An opening that reaches the floor is a door."""
    place: Rectangle
    """In the face's frame [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface:
    """A face of the room, seen from inside alone."""

    name: str
    kind: Literal["wall", "floor", "ceiling"]
    axes: Axes
    """The face's own frame; `out` is into the room."""
    outline: tuple[tuple[float, float], ...]
    """Corners in its own frame [m]."""
    things: tuple[Thing, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A source, a microphone, or the seat that matters most."""

    name: str
    role: Role
    point: Point
    """[m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Path:
    """A first reflection from a source to the seat."""

    source: str
    seat: str
    face: str
    points: tuple[Point, Point, Point]
    """Source, where it meets the face, seat [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Furniture:
    """A piece of furniture as the box round it."""

    name: str
    at_m: Triple
    """Its lowest corner, in the room [m]."""
    size_m: Triple
    """Along the room's x, y and z [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """One job's room with all that stands and hangs in it."""

    surfaces: tuple[Surface, ...]
    shapes: tuple[Shape, ...]
    """Each kind of piece once."""
    pieces: tuple[Standing, ...]
    marks: tuple[Mark, ...]
    paths: tuple[Path, ...]
    furniture: tuple[Furniture, ...] = ()

    def shape(self, piece: str) -> Shape:
        """The shape of a stock piece; KeyError where there is none."""
        for shape in self.shapes:
            if shape.piece == piece:
                return shape
        raise KeyError(piece)
