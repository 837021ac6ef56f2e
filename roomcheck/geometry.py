"""Rooms as planes: faces, rectangles on them, mirror images.

The room's frame has x and y on the floor and z up, in metres. The floor plan runs counter-clockwise
seen from above. Each face has its own frame, the one a person uses who stands in the room and looks
at it: u runs from its left edge to the right, v from its bottom edge up. On floor and ceiling u is
x and v is y, seen on the plan from above.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Kind = Literal["wall", "floor", "ceiling"]


class Point(NamedTuple):
    """A place in the room. [m]"""

    x: float
    y: float
    z: float


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangle on a face, in the face's own frame. [m]"""

    u_m: float
    v_m: float
    width_m: float
    height_m: float

    @property
    def area_m2(self) -> float:
        return self.width_m * self.height_m

    @property
    def right_m(self) -> float:
        return self.u_m + self.width_m

    @property
    def top_m(self) -> float:
        return self.v_m + self.height_m

    @property
    def centre(self) -> tuple[float, float]:
        return self.u_m + self.width_m / 2, self.v_m + self.height_m / 2

    def grown(self, margin_m: float) -> Rectangle:
        """The rectangle with `margin_m` more on every side. [m]"""
        return Rectangle(
            self.u_m - margin_m,
            self.v_m - margin_m,
            self.width_m + 2 * margin_m,
            self.height_m + 2 * margin_m,
        )

    def overlap_m2(self, other: Rectangle) -> float:
        """Area that both cover; 0 where they only touch. [m2]

        >>> Rectangle(0, 0, 2, 2).overlap_m2(Rectangle(1, 1, 2, 2))
        1.0
        """
        u = min(self.right_m, other.right_m) - max(self.u_m, other.u_m)
        v = min(self.top_m, other.top_m) - max(self.v_m, other.v_m)
        return float(max(u, 0.0) * max(v, 0.0))

    def holds(self, u_m: float, v_m: float) -> bool:
        return self.u_m <= u_m <= self.right_m and self.v_m <= v_m <= self.top_m


@dataclass(frozen=True)
class Face:
    """One plane of the room."""

    name: str
    """What the job calls it: "south", "ceiling", …"""
    kind: Kind
    origin: Point
    """Where u = v = 0 [m]."""
    u_axis: tuple[float, float, float]
    """Unit vector along u."""
    v_axis: tuple[float, float, float]
    """Unit vector along v."""
    normal: tuple[float, float, float]
    """Unit vector into the room."""
    outline: tuple[tuple[float, float], ...]
    """The face's corners in its own frame: (u, v) [m]."""

    @cached_property
    def area_m2(self) -> float:
        return abs(_shoelace(self.outline))

    @property
    def width_m(self) -> float:
        return max(u for u, _ in self.outline)

    @property
    def height_m(self) -> float:
        return max(v for _, v in self.outline)

    def to_room(self, u_m: float, v_m: float, off_m: float = 0.0) -> Point:
        """The place at (u, v) on the face, `off_m` into the room from it. [m]"""
        return Point(
            *(
                o + u_m * a + v_m * b + off_m * n
                for o, a, b, n in zip(
                    self.origin, self.u_axis, self.v_axis, self.normal, strict=True
                )
            )
        )

    def to_face(self, point: Point) -> tuple[float, float, float]:
        """(u, v, distance into the room) of a place. [m]"""
        away = [p - o for p, o in zip(point, self.origin, strict=True)]
        u, v, off = (
            sum(a * b for a, b in zip(away, axis, strict=True))
            for axis in (self.u_axis, self.v_axis, self.normal)
        )
        return u, v, off

    def mirror(self, point: Point) -> Point:
        """The mirror image of a place behind the face. [m]"""
        off = self.to_face(point)[2]
        return Point(*(p - 2 * off * n for p, n in zip(point, self.normal, strict=True)))

    def holds(self, rectangle: Rectangle) -> bool:
        """Whether a rectangle lies wholly on the face (a millimetre over is forgiven)."""
        tiny = 1e-3
        r = Rectangle(
            rectangle.u_m + tiny,
            rectangle.v_m + tiny,
            rectangle.width_m - 2 * tiny,
            rectangle.height_m - 2 * tiny,
        )
        corners = ((r.u_m, r.v_m), (r.right_m, r.v_m), (r.right_m, r.top_m), (r.u_m, r.top_m))
        inside = all(_inside(self.outline, u, v) for u, v in corners)
        notched = any(r.u_m < u < r.right_m and r.v_m < v < r.top_m for u, v in self.outline)
        return inside and not notched


@dataclass(frozen=True)
class Room:
    """A floor plan with a height."""

    corners: tuple[tuple[float, float], ...]
    """Floor plan, counter-clockwise seen from above, any simple polygon: (x, y) [m]."""
    height_m: float
    """Floor to ceiling [m]."""
    wall_names: tuple[str, ...]
    """The wall from corner i to corner i + 1, one name a wall."""

    @classmethod
    def box(
        cls,
        length_m: float,
        width_m: float,
        height_m: float,
        names: tuple[str, ...] = ("south", "east", "north", "west"),
    ) -> Room:
        """A rectangular room: length along x, width along y. [m]

        >>> Room.box(5, 4, 2.5).volume_m3
        50.0
        """
        corners = ((0.0, 0.0), (length_m, 0.0), (length_m, width_m), (0.0, width_m))
        return cls(corners=corners, height_m=height_m, wall_names=names)

    @cached_property
    def floor_area_m2(self) -> float:
        return _shoelace(self.corners)

    @property
    def volume_m3(self) -> float:
        return float(self.floor_area_m2 * self.height_m)

    @cached_property
    def surface_m2(self) -> float:
        return sum(face.area_m2 for face in self.faces)

    @property
    def is_box(self) -> bool:
        """Whether the plan is a rectangle along the axes."""
        xs, ys = {x for x, _ in self.corners}, {y for _, y in self.corners}
        return len(self.corners) == 4 and len(xs) == 2 and len(ys) == 2

    @cached_property
    def faces(self) -> tuple[Face, ...]:
        """Walls in the order of the plan, then floor and ceiling."""
        ends = zip(self.corners, (*self.corners[1:], self.corners[0]), self.wall_names, strict=True)
        walls = tuple(_wall(name, start, end, self.height_m) for start, end, name in ends)
        x0, y0 = min(x for x, _ in self.corners), min(y for _, y in self.corners)
        plan = tuple((x - x0, y - y0) for x, y in self.corners)
        flat = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
        floor = Face("floor", "floor", Point(x0, y0, 0.0), *flat, (0.0, 0.0, 1.0), plan)
        ceiling = Face(
            "ceiling", "ceiling", Point(x0, y0, self.height_m), *flat, (0.0, 0.0, -1.0), plan
        )
        return (*walls, floor, ceiling)

    def face(self, name: str) -> Face:
        """The face of that name; KeyError where there is none."""
        for face in self.faces:
            if face.name == name:
                return face
        raise KeyError(name)

    def holds(self, point: Point, clearance_m: float = 0.0) -> bool:
        """Whether a place lies inside the room, at least `clearance_m` off every plane that bounds
        it."""
        inside = _inside(self.corners, point.x, point.y) and 0 < point.z < self.height_m
        return inside and (clearance_m <= 0 or self.distance_to_surface_m(point) >= clearance_m)

    def holds_over(self, x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.bool_]:
        """Which places lie over its floor, as `holds` has it of each. (places,)"""
        import numpy as np

        within = np.zeros(len(x), dtype=bool)
        ends = (*self.corners[1:], self.corners[0])
        for (x1, y1), (x2, y2) in zip(self.corners, ends, strict=True):
            if y1 != y2:
                left_of = x < (x2 - x1) * (y - y1) / (y2 - y1) + x1
                within ^= ((y1 > y) != (y2 > y)) & left_of
        return within

    def distance_to_surface_m(self, point: Point) -> float:
        """Distance to the nearest wall, floor or ceiling. [m]"""
        away = [min(point.z, self.height_m - point.z)]
        for face in self.faces:
            if face.kind == "wall":
                u, _, off = face.to_face(point)
                beside = max(0.0, -u, u - face.width_m)
                away.append(math.hypot(off, beside))
        return min(away)


def distance_m(a: Point, b: Point) -> float:
    """Straight distance. [m]

    >>> distance_m(Point(0, 0, 0), Point(3, 4, 0))
    5.0
    """
    import numpy as np

    return float(np.linalg.norm(np.subtract(a, b)))


def simple_polygon(corners: tuple[tuple[float, float], ...]) -> bool:
    """Whether a plan has three corners or more, some area, and no edges that cross."""
    n = len(corners)
    if n < 3 or abs(_shoelace(corners)) < 1e-9:
        return False
    edges = [(corners[i], corners[(i + 1) % n]) for i in range(n)]
    apart = [(i, j) for i in range(n) for j in range(i + 2, n) if (i, j) != (0, n - 1)]
    return not any(_cross(*edges[i], *edges[j]) for i, j in apart)


def counter_clockwise(corners: tuple[tuple[float, float], ...]) -> bool:
    """Whether the plan runs counter-clockwise seen from above."""
    return _shoelace(corners) > 0


def _wall(name: str, start: tuple[float, float], end: tuple[float, float], height_m: float) -> Face:
    length = math.dist(start, end)
    dx, dy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    # The room lies to the left of a counter-clockwise edge; seen from inside, the edge's end is the
    # left corner.
    return Face(
        name=name,
        kind="wall",
        origin=Point(*end, 0.0),
        u_axis=(-dx, -dy, 0.0),
        v_axis=(0.0, 0.0, 1.0),
        normal=(-dy, dx, 0.0),
        outline=((0.0, 0.0), (length, 0.0), (length, height_m), (0.0, height_m)),
    )


def _shoelace(corners: tuple[tuple[float, float], ...]) -> float:
    import numpy as np

    x, y = np.array(corners, dtype=float).T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


def _inside(corners: tuple[tuple[float, float], ...], x: float, y: float) -> bool:
    within = False
    for (x1, y1), (x2, y2) in zip(corners, (*corners[1:], corners[0]), strict=True):
        if (y1 > y) != (y2 > y) and x < (x2 - x1) * (y - y1) / (y2 - y1) + x1:
            within = not within
    return within


def _cross(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]
) -> bool:
    """Whether two straight pieces have a point in common; two on one line need not."""
    c_side, d_side = _side(a, b, c), _side(a, b, d)
    a_side, b_side = _side(c, d, a), _side(c, d, b)
    if c_side * d_side < 0 and a_side * b_side < 0:
        return True
    return _on(a, b, c) or _on(a, b, d) or _on(c, d, a) or _on(c, d, b)


def _side(p: tuple[float, float], q: tuple[float, float], r: tuple[float, float]) -> float:
    """Above 0 where r lies left of the way from p to q, 0 on its line. [m2]"""
    return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])


def _on(p: tuple[float, float], q: tuple[float, float], r: tuple[float, float]) -> bool:
    """Whether r lies on the straight piece from p to q, its ends included."""
    length = math.hypot(q[0] - p[0], q[1] - p[1])
    if abs(_side(p, q, r)) > 1e-9 * length:
        return False
    along = (r[0] - p[0]) * (q[0] - p[0]) + (r[1] - p[1]) * (q[1] - p[1])
    return bool(-1e-9 <= along <= length**2 + 1e-9)
