"""Line drawings of random rooms against rays: no line drawn that something hides, none missing.

The drawing cuts lines by half-spaces. The check knows nothing of them: it shoots a ray from the eye
to places on every line and asks each triangle of every solid whether it is in the way. Places where
a ray passes so near to a triangle's edge that rounding decides are counted and not judged.

    python benchmarks/hidden_lines.py [ROOMS]
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.report.figures.room_picture import paper_of, seen_lines, strokes_and_cover
from roomcheck.scene import (
    Axes,
    Body,
    Furniture,
    Mark,
    Path,
    Scene,
    Shape,
    Standing,
    Surface,
    Thing,
    best_view,
    view_of,
)

MARGIN = 2e-5
"""Rays nearer to an edge than this, in a triangle's own measure, are not judged. [1]"""
AHEAD_M = 1e-4
"""What lies less than this in front of a place on a line is what the line is drawn on. [m]"""
SAMPLES = 2_500
"""Places looked at in each room."""

PLANS = (
    ((0, 0), (5, 0), (5, 4), (0, 4)),
    ((0, 0), (6, 0), (6, 2.5), (3, 2.5), (3, 5), (0, 5)),
    ((0, 0), (6, 0), (6, 4), (4, 4), (4, 2), (2, 2), (2, 4), (0, 4)),
    ((0, 0), (5, 0), (6, 2), (4.5, 4.5), (1, 4)),
    ((0, 0), (7, 0), (7, 5), (5, 5), (5, 3), (3.5, 3), (3.5, 5), (0, 5)),
)
"""A box, an L, a U, no right angle, a T with unequal arms. [m]"""


@dataclass(slots=True)
class Tally:
    """What the rays found."""

    rooms: int = 0
    drawn: int = 0
    """Places on lines that are drawn."""
    left_out: int = 0
    """Places on lines that are not."""
    hidden_drawn: int = 0
    """Drawn though something is in the way."""
    seen_missing: int = 0
    """Not drawn though nothing is."""
    unjudged: int = 0

    def add(self, other: Tally) -> None:
        for name in self.__slots__:
            setattr(self, name, getattr(self, name) + getattr(other, name))


def run(rooms: int, seed: int) -> Tally:
    """Draw and check so many rooms."""
    tally = Tally()
    for number in range(rooms):
        tally.add(check(random_scene(seed + number), seed + number))
    return tally


def random_scene(seed: int) -> Scene:
    """A room with pieces of every build on its faces."""
    rng = np.random.default_rng(seed)
    plan = np.array(PLANS[seed % len(PLANS)]) * rng.uniform(0.7, 1.5, 2)
    corners = tuple((float(x), float(y)) for x, y in plan)
    names = tuple(f"wall {i}" for i in range(len(corners)))
    room = Room(corners=corners, height_m=float(rng.uniform(2.2, 4.0)), wall_names=names)
    surfaces, pieces, shapes = [], [], []
    for face in room.faces:
        things = []
        for thing in ("window", "door")[: int(rng.integers(0, 3)) if face.kind == "wall" else 0]:
            place = Rectangle(*(float(x) for x in rng.uniform(0.05, 0.9, 4)))
            things.append(Thing(name=thing, kind=thing, place=place))
        axes = Axes(origin=face.origin, right=face.u_axis, up=face.v_axis, out=face.normal)
        surfaces.append(
            Surface(
                name=face.name,
                kind=face.kind,
                axes=axes,
                outline=face.outline,
                things=tuple(things),
            )
        )
        for _ in range(int(rng.integers(0, 4))):
            shape = random_shape(rng, f"piece {len(shapes)}")
            u, v = (float(x) for x in rng.uniform(0.0, 1.0, 2) * (face.width_m, face.height_m))
            if face.kind != "wall" and not room.holds(face.to_room(u, v, 0.1)):
                continue
            turned = bool(rng.integers(0, 2))
            right, up = (face.v_axis, face.u_axis) if turned else (face.u_axis, face.v_axis)
            origin = face.to_room(u, v, shape.off_m)
            axes = Axes(origin=origin, right=right, up=up, out=face.normal)
            shapes.append(shape)
            pieces.append(
                Standing(name=f"A{len(shapes)}", piece=shape.piece, face=face.name, axes=axes)
            )
    source, seat = (Point(*corners[0], 1.2), Point(*np.mean(corners, axis=0), 1.2))
    middle = Point(*((np.array(source) + np.array(seat)) / 2))
    path = Path(source="S1", seat="P1", face=surfaces[0].name, points=(source, middle, seat))
    return Scene(
        surfaces=tuple(surfaces),
        shapes=tuple(shapes),
        pieces=tuple(pieces),
        marks=(Mark(name="P1", role="seat", point=seat),),
        paths=(path,),
        furniture=_furniture(rng, room),
    )


def _furniture(rng: np.random.Generator, room: Room) -> tuple[Furniture, ...]:
    """Boxes on the floor, through each other and through walls too: lines are lines."""
    boxes = []
    for number in range(int(rng.integers(0, 3))):
        x, y = (float(v) for v in rng.uniform(0.2, 3.0, 2))
        size = tuple(float(v) for v in rng.uniform((0.4, 0.4, 0.3), (1.6, 1.2, room.height_m)))
        boxes.append(Furniture(name=f"box {number}", at_m=(x, y, 0.0), size_m=size))
    return tuple(boxes)


def random_shape(rng: np.random.Generator, name: str) -> Shape:
    """A wrapped panel, blocks, wells, slats, or a wedge behind a panel."""
    wide, high, deep = (float(x) for x in rng.uniform((0.3, 0.3, 0.05), (1.0, 1.4, 0.3)))
    kind = int(rng.integers(0, 5))
    whole = Body(part="fabric", look="cloth", at_m=(0.0, 0.0, 0.0), size_m=(wide, high, deep))
    bodies = [whole]
    if kind == 1:
        bodies = [replace(whole, size_m=(wide, high, 0.02))]
        columns, rows = (int(n) for n in rng.integers(3, 8, 2))
        steps = rng.integers(0, 4, (rows, columns)) * (deep - 0.02) / 3
        cell = (wide / columns, high / rows)
        for (row, column), step in np.ndenumerate(steps):
            if step > 0:
                at = (column * cell[0], row * cell[1], 0.02)
                bodies.append(
                    Body(part="block", look="end grain", at_m=at, size_m=(*cell, float(step)))
                )
    elif kind in (2, 3):
        bodies = [replace(whole, size_m=(wide, high, 0.01))] if kind == 2 else []
        edges = np.linspace(0, wide, 12)
        for left, right in list(pairwise(edges))[::2]:
            at, size = (float(left), 0.0, 0.01), (float(right - left), high, deep - 0.01)
            bodies.append(Body(part="fin", look="plywood", at_m=at, size_m=size))
    elif kind == 4:
        size = (wide, high, wide / 2)
        bodies.append(
            Body(
                part="core_square", look="wool", at_m=(0.0, 0.0, -wide / 2), size_m=size, wedge=True
            )
        )
    return Shape(
        piece=name,
        width_m=wide,
        height_m=high,
        depth_m=deep,
        off_m=float(rng.choice([0.0, 0.05])),
        outside=tuple(bodies),
        inside=tuple(bodies),
        relief=kind in (1, 2),
    )


def check(scene: Scene, seed: int) -> Tally:
    """Shoot rays at places on every line of one drawing."""
    rng = np.random.default_rng(seed)
    view = best_view(scene)
    if seed % 2:
        view = view_of(scene, float(rng.uniform(0, 360)), float(rng.uniform(5, 70)))
    paper = paper_of(scene, view)
    strokes, cover = strokes_and_cover(scene, paper, paths=True)
    drawn = np.concatenate([each.lines for each in seen_lines(view, strokes, cover)])
    lines = np.concatenate([stroke.lines for stroke in strokes])
    chosen = rng.integers(0, len(lines), SAMPLES)
    share = rng.uniform(0.001, 0.999, SAMPLES)[:, None]
    places = lines[chosen, 0] + share * (lines[chosen, 1] - lines[chosen, 0])
    on_drawing = _on_any(places, drawn)
    sure_hidden, sure_seen = rays(np.array(view.eye), places, solid_triangles(scene, view))
    return Tally(
        rooms=1,
        drawn=int(on_drawing.sum()),
        left_out=int((~on_drawing).sum()),
        hidden_drawn=int((on_drawing & sure_hidden).sum()),
        seen_missing=int((~on_drawing & sure_seen).sum()),
        unjudged=int((~sure_hidden & ~sure_seen).sum()),
    )


def _on_any(places: np.ndarray, lines: np.ndarray) -> np.ndarray:
    """Whether places lie on any of the lines, within a ten-thousandth of a millimetre."""
    found = np.zeros(len(places), dtype=bool)
    along = lines[:, 1] - lines[:, 0]
    long = np.linalg.norm(along, axis=1)
    for start in range(0, len(places), 200):
        away = places[start : start + 200, None] - lines[None, :, 0]
        t = np.clip((away * along).sum(axis=2) / np.maximum(long, 1e-12) ** 2, 0, 1)
        off = np.linalg.norm(away - t[..., None] * along, axis=2)
        found[start : start + 200] = (off < 1e-7).any(axis=1)
    return found


def solid_triangles(scene: Scene, view) -> tuple[np.ndarray, np.ndarray]:
    """Triangles of all bodies, and of the faces that turn to the eye: (triangles, 3, 3)."""
    eye, found = np.array(view.eye), []
    for surface in scene.surfaces:
        corners = [np.array(surface.axes.to_room(u, v, 0.0)) for u, v in surface.outline]
        if np.dot(eye - corners[0], surface.axes.out) > 0:
            found += _fan_or_ears(surface, corners)
    shapes = {shape.piece: shape for shape in scene.shapes}
    for piece in scene.pieces:
        shape = shapes[piece.piece]
        middle = piece.axes.to_room(shape.width_m / 2, shape.height_m / 2, shape.depth_m)
        if np.dot(eye - np.array(middle), piece.axes.out) > 0:
            for body in shape.outside:
                found += _body(piece.axes, body)
    own = Axes(origin=Point(0.0, 0.0, 0.0), right=(1, 0, 0), up=(0, 1, 0), out=(0, 0, 1))
    for one in scene.furniture:
        found += _body(own, Body(part="", look="wood", at_m=one.at_m, size_m=one.size_m))
    return np.array(found)


def _fan_or_ears(surface: Surface, corners: list[np.ndarray]) -> list[list[np.ndarray]]:
    """Any polygon by Delaunay's triangulation, a triangle kept where its middle lies inside."""
    from matplotlib.path import Path as Outline
    from scipy.spatial import Delaunay

    flat = np.array(surface.outline)
    outline = Outline(flat)
    kept = [t for t in Delaunay(flat).simplices if outline.contains_point(flat[t].mean(axis=0))]
    return [[corners[i] for i in t] for t in kept]


def _body(axes: Axes, body: Body) -> list[list[np.ndarray]]:
    """The convex hull of a body's corners."""
    from scipy.spatial import ConvexHull

    x = (0.0, 1.0)
    unit = [(a, b, c) for a in x for b in x for c in x]
    if body.wedge:
        unit = [(0.5, b, 0.0) for b in x] + [(a, b, 1.0) for a in x for b in x]
    own = np.array(body.at_m) + np.array(body.size_m) * np.array(unit)
    corners = np.array([axes.to_room(*place) for place in own.tolist()])
    return [[corners[i] for i in t] for t in ConvexHull(corners).simplices]


def rays(
    eye: np.ndarray, places: np.ndarray, triangles: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Whether something is surely in the way of each place, and whether surely nothing is.

    References
    ----------
    T. Möller and B. Trumbore, "Fast, minimum storage ray-triangle intersection", Journal of Graphics
    Tools 2 (1997) 21, from memory.
    """
    hidden, seen = np.zeros(len(places), dtype=bool), np.zeros(len(places), dtype=bool)
    a, e1, e2 = (
        triangles[:, 0],
        triangles[:, 1] - triangles[:, 0],
        triangles[:, 2] - triangles[:, 0],
    )
    normal = np.cross(e1, e2)
    s = eye - a
    q = np.cross(s, e1)
    for start in range(0, len(places), 200):
        way = places[start : start + 200] - eye
        far = np.linalg.norm(way, axis=1)[:, None]
        det = -way @ normal.T
        with np.errstate(divide="ignore", invalid="ignore"):
            t = (s * normal).sum(axis=1) / det
            u = np.einsum("pti,ti->pt", np.cross(way[:, None], e2[None]), s) / det
            v = way @ q.T / det
        front = (1 - t) * far  # how far before the place the ray meets the plane [m]
        inner = np.minimum(np.minimum(u, v), 1 - u - v)
        level = np.abs(det) > 1e-9
        sure = level & (inner > MARGIN) & (front > 2 * AHEAD_M) & (t > 0)
        maybe = (inner > -MARGIN) & (front > AHEAD_M / 20) & (t > 0) | ~level
        hidden[start : start + 200] = sure.any(axis=1)
        seen[start : start + 200] = ~maybe.any(axis=1)
    return hidden, seen


if __name__ == "__main__":
    print(run(int(sys.argv[1]) if len(sys.argv) > 1 else 300, seed=1))
