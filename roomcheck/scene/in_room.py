"""From a job and the pieces of a plan to the room in space."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, hypot, sin

from roomcheck.geometry import Face, Rectangle, Room
from roomcheck.job import Job, LookKind, Patch, Placement
from roomcheck.mirrors import mirror_paths
from roomcheck.scene.results import (
    Axes,
    Body,
    Furniture,
    Look,
    Mark,
    Path,
    Role,
    Scene,
    Shape,
    Standing,
    Surface,
    Thing,
    ThingKind,
)
from roomcheck.workshop import HangingLine, Part, PieceInSpace, Solid, piece_in_space, true_place

_ON_FLOOR_M = 0.05
"""An opening that begins no higher is a door: a sill is higher than a threshold. [m]"""

_LOOKS: dict[Part, Look] = {
    Part.BLOCK: "end grain",
    Part.CORE: "wool",
    Part.CORE_SQUARE: "wool",
    Part.FABRIC: "cloth",
    Part.FELT_TILE: "felt",
    Part.FILL: "wool",
    Part.FRAME_LONG: "wood",
    Part.FRAME_SHORT: "wood",
    Part.CROSS_RAIL: "wood",
    Part.SLAT: "wood",
}
"""What is cut from; whatever is not here is plywood."""

_COLOURED: dict[LookKind, tuple[Look, ...]] = {
    "cloth": ("cloth",),
    "stain": ("wood", "end grain", "plywood"),
    "paint": ("wood", "end grain", "plywood"),
}
"""What takes the colour of a cloth, a stain or a paint."""


def scene(job: Job, pieces: Sequence[Placement] = (), hanging: Sequence[HangingLine] = ()) -> Scene:
    """Put the room, what is on its faces, and the pieces of a plan in space.

    Parameters
    ----------
    job : Job
        Furniture that it gives no place is not in the scene.
    pieces : sequence of Placement
        Each at its true size, frame and all, round the middle that it is planned at.
    hanging : sequence of HangingLine
        Where the installer hangs them; a piece without a line stays where it is planned.

    Returns
    -------
    Scene

    Raises
    ------
    NotInStock, PanelError
        A piece is not in the shop's file, or cannot be built.
    KeyError
        A piece hangs on a face that the room does not have.
    """
    names = dict.fromkeys(placed.piece for placed in pieces)
    shapes = {name: shape_of(job, name) for name in names}
    lines = {line.name: line for line in hanging}
    stands = [
        _standing(job, placed, shapes[placed.piece], lines.get(placed.name)) for placed in pieces
    ]
    return Scene(
        surfaces=tuple(_surface(job, face) for face in job.room.faces),
        shapes=tuple(shapes.values()),
        pieces=tuple(stands),
        marks=_marks(job),
        paths=_paths(job),
        furniture=_furniture(job),
    )


def _furniture(job: Job) -> tuple[Furniture, ...]:
    """What stands on the floor, as far as the job says where."""
    return tuple(
        Furniture(
            name=one.name,
            at_m=(one.place.u_m, one.place.v_m, 0.0),
            size_m=(one.place.width_m, one.place.height_m, one.height_m),
        )
        for one in job.furnishings
        if one.place is not None and one.height_m is not None
    )


def shape_of(job: Job, piece: str) -> Shape:
    """A kind of piece as the shop builds it.

    Raises
    ------
    NotInStock, PanelError
        As `scene` does.
    """
    built = piece_in_space(job, piece)
    parts = tuple(body_of(solid) for solid in built.solids)
    return Shape(
        piece=piece,
        width_m=built.width_m,
        height_m=built.height_m,
        depth_m=built.frame_m,
        off_m=_off_m(built),
        outside=_outside(built, parts),
        inside=parts,
        relief=built.piece.diffuser,
        colours=_colours(job, piece),
    )


def _colours(job: Job, piece: str) -> tuple[tuple[Look, str], ...]:
    chosen = job.look_of(piece)
    if chosen is None:
        return ()
    return tuple((look, chosen.colour) for look in _COLOURED[chosen.kind])


def body_of(solid: Solid) -> Body:
    """A part as it looks."""
    return Body(
        part=solid.part,
        look=_LOOKS.get(solid.part, "plywood"),
        at_m=solid.at_m,
        size_m=solid.size_m,
    )


def _off_m(built: PieceInSpace) -> float:
    """From the face to the frame's back: what the piece's depth has more than its frame. [m]"""
    across_corner = "corner" in built.piece.mounts
    return 0.0 if across_corner else max(built.piece.depth_m - built.frame_m, 0.0)


def _outside(built: PieceInSpace, parts: tuple[Body, ...]) -> tuple[Body, ...]:
    """What is seen of it: fabric hides what it is wrapped round, though not a stack behind it."""
    if not built.wrapped:
        return parts
    size = (built.width_m, built.height_m, built.frame_m)
    cloth = Body(part=Part.FABRIC, look="cloth", at_m=(0.0, 0.0, 0.0), size_m=size)
    if built.piece.kind != "corner stack":
        return (cloth,)
    return cloth, stacked(built.width_m, built.height_m)


def stacked(width_m: float, height_m: float) -> Body:
    """Triangles of core behind a front across a square corner."""
    deep_m = width_m / 2
    return Body(
        part=Part.CORE_SQUARE,
        look="wool",
        at_m=(0.0, 0.0, -deep_m),
        size_m=(width_m, height_m, deep_m),
        wedge=True,
    )


def _standing(job: Job, placed: Placement, shape: Shape, line: HangingLine | None) -> Standing:
    face = job.room.face(placed.face)
    if "corner" in job.shop.piece(placed.piece).mounts:
        axes = _across_corner(job.room, face, shape.width_m, placed.place.v_m)
    else:
        axes = _on_face(face, _place(placed, shape, line), shape)
    return Standing(name=placed.name, piece=placed.piece, face=placed.face, axes=axes)


def _place(placed: Placement, shape: Shape, line: HangingLine | None) -> Rectangle:
    if line is not None:
        bottom_m = line.top_m - line.height_m
        return Rectangle(line.left_m, bottom_m, line.width_m, line.height_m)
    return true_place(placed.place, (shape.width_m, shape.height_m))


def _on_face(face: Face, place: Rectangle, shape: Shape) -> Axes:
    """The piece's frame on its face; one that hangs on its side is turned to the left."""
    turned = (place.width_m > place.height_m) != (shape.width_m > shape.height_m)
    u_m = place.right_m if turned else place.u_m
    left_to_right = face.v_axis if turned else face.u_axis
    upwards = _times(face.u_axis, -1.0) if turned else face.v_axis
    origin = face.to_room(u_m, place.v_m, shape.off_m)
    return Axes(origin=origin, right=left_to_right, up=upwards, out=face.normal)


def _across_corner(room: Room, face: Face, width_m: float, up_m: float) -> Axes:
    """A frame across the corner at a wall's left edge: both edges of its back touch a wall."""
    walls = [wall for wall in room.faces if wall.kind == "wall"]
    beside = walls[(walls.index(face) + 1) % len(walls)]
    along, back = face.u_axis, _times(beside.u_axis, -1.0)
    angle = _angle(along, back)
    leg_m = width_m / 2 / sin(angle / 2)
    right_end = face.to_room(leg_m, up_m)
    left_end = beside.to_room(beside.width_m - leg_m, up_m)
    dx, dy = right_end.x - left_end.x, right_end.y - left_end.y
    length_m = hypot(dx, dy)
    right = (dx / length_m, dy / length_m, 0.0)
    return Axes(origin=left_end, right=right, up=(0.0, 0.0, 1.0), out=(right[1], -right[0], 0.0))


def _times(vector: tuple[float, float, float], factor: float) -> tuple[float, float, float]:
    x, y, z = vector
    return (factor * x, factor * y, factor * z)


def _angle(a: tuple[float, float, float], b: tuple[float, float, float]) -> float:
    """Between two level directions. [rad]"""
    cross = a[0] * b[1] - a[1] * b[0]
    return abs(atan2(cross, a[0] * b[0] + a[1] * b[1]))


def _surface(job: Job, face: Face) -> Surface:
    patches = tuple(
        Thing(name=patch.name, kind=_kind(patch), place=patch.place)
        for patch in job.patches
        if patch.face == face.name
    )
    zones = tuple(
        Thing(name=zone.name, kind="keep clear", place=zone.place)
        for zone in job.keep_clear
        if zone.face == face.name
    )
    axes = Axes(origin=face.origin, right=face.u_axis, up=face.v_axis, out=face.normal)
    return Surface(
        name=face.name,
        kind=face.kind,
        axes=axes,
        outline=face.outline,
        things=(*patches, *zones),
    )


def _kind(patch: Patch) -> ThingKind:
    if not patch.opening:
        return "patch"
    return "door" if patch.place.v_m <= _ON_FLOOR_M else "window"


def _marks(job: Job) -> tuple[Mark, ...]:
    sources = tuple(Mark(name=s.name, role="source", point=s.point) for s in job.sources)
    heard = []
    for place in job.microphones:
        role: Role = "seat" if place.name == job.seat else "microphone"
        heard.append(Mark(name=place.name, role=role, point=place.point))
    return (*sources, *heard)


def _paths(job: Job) -> tuple[Path, ...]:
    """First reflections from every source to the seat; none where no seat is named."""
    seat = next((place for place in job.microphones if place.name == job.seat), None)
    if seat is None:
        return ()
    paths = []
    for source in job.sources:
        for path in mirror_paths(job.room, source.point, seat.point, order=1):
            points = (source.point, path.points[0], seat.point)
            paths.append(
                Path(source=source.name, seat=seat.name, face=path.names[0], points=points)
            )
    return tuple(paths)
