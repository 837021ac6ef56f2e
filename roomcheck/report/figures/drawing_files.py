"""The plan's drawings as files: floor plan, every wall and the ceiling, as SVG and DXF."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot
from pathlib import Path

from roomcheck.geometry import Face, Rectangle
from roomcheck.job import Job, Placement, Put, make_folder, write_together
from roomcheck.parts import OnPart, Parts
from roomcheck.recommend import Plan, ReflectionChange
from roomcheck.report.figures.drawings import bounces, corners_of, elevation_svg, plan_svg
from roomcheck.report.figures.dxf import DxfDrawing
from roomcheck.words import across, length, say

WORDS_M, SMALL_M = 0.06, 0.04
"""Height of letters, in the room's own size. [m]"""

AWAY_M = 0.12
"""Of the first line of dimensions from what it measures. [m]"""


def write_drawings(
    job: Job, plan: Plan, folder: Path | str, on_part: OnPart | None = None
) -> tuple[Path, ...]:
    """Draw a plan's floor plan, each wall and the ceiling, each as SVG and as DXF.

    Parameters
    ----------
    job : Job
    plan : Plan
    folder : Path or str
        Made where it is missing; files of the same names are written over.
    on_part : callable or None
        Gets how many of the drawings are done, and how many there are.

    Returns
    -------
    tuple of Path
        `floor-plan.svg`, `floor-plan.dxf`, `wall-NAME.svg`, …, `ceiling.dxf`.

    Raises
    ------
    CannotWrite
        The folder cannot be written.
    """
    folder = Path(folder)
    make_folder(folder)
    files = [
        ("floor-plan.svg", plan_svg(job, plan.pieces)[0]),
        ("floor-plan.dxf", plan_dxf(job, plan.pieces)),
    ]
    faces = [face for face in job.room.faces if face.kind != "floor"]
    parts = Parts(on_part, 1 + len(faces))
    parts.add()
    for face in faces:
        here = [p for p in plan.pieces if p.face == face.name]
        name = "ceiling" if face.kind == "ceiling" else f"wall-{_file(face.name)}"
        svg, _ = elevation_svg(job, face, here, framing=True, marks=bounces(face, plan.reflections))
        files += [
            (f"{name}.svg", svg),
            (f"{name}.dxf", face_dxf(job, face, here, plan.reflections)),
        ]
        parts.add()
    return write_together(folder, [Put(path=name, data=text) for name, text in files])


def _file(name: str) -> str:
    return "".join(c if c.isalnum() or c in "-_" else "-" for c in name)


def face_dxf(
    job: Job, face: Face, pieces: Sequence[Placement], marks: Sequence[ReflectionChange] = ()
) -> str:
    """One face in its own frame: left corner and floor are 0, as on the elevation."""
    drawing = DxfDrawing(job.units)
    drawing.outline("OUTLINE", face.outline)
    _framing(drawing, job, face)
    _surroundings(drawing, job, face)
    for piece in pieces:
        drawing.box("PIECES", piece.place)
        left, top = piece.place.u_m + 0.03, piece.place.top_m - 0.1
        drawing.text("TEXT", (left, top), piece.name, WORDS_M)
        drawing.text("TEXT", (left, top - 0.08), across(piece.place, job), SMALL_M)
    for mark in marks:
        if mark.face != face.name:
            continue
        drawing.circle("REFLECTIONS", (mark.u_m, mark.v_m), 0.02)
        drawing.text("REFLECTIONS", (mark.u_m + 0.03, mark.v_m + 0.03), mark.source, SMALL_M)
    _corner_names(drawing, job, face)
    _dimensions(drawing, job, face, [p.place for p in pieces])
    return drawing.dxf()


def _surroundings(drawing: DxfDrawing, job: Job, face: Face) -> None:
    """Doors, windows and other patches, and what must be kept clear."""
    for patch in job.patches:
        if patch.face != face.name:
            continue
        r = patch.place
        drawing.box("OPENINGS", r)
        if patch.opening:
            drawing.line("OPENINGS", (r.u_m, r.v_m), (r.right_m, r.top_m))
            drawing.line("OPENINGS", (r.u_m, r.top_m), (r.right_m, r.v_m))
        drawing.text("TEXT", r.centre, patch.name, SMALL_M)
    for zone in job.keep_clear:
        if zone.face != face.name:
            continue
        drawing.box("KEEP-CLEAR", zone.place)
        drawing.box("KEEP-CLEAR", zone.zone)
        drawing.text("TEXT", (zone.place.u_m, zone.place.top_m), zone.name, SMALL_M)


def _corner_names(drawing: DxfDrawing, job: Job, face: Face) -> None:
    left, right = corners_of(job, face)
    for x_m, name in ((0.0, left), (face.width_m, right)):
        if name:
            words = say("corner_with", wall=name)
            drawing.text("TEXT", (x_m, face.height_m + 0.05), words, SMALL_M)


def _framing(drawing: DxfDrawing, job: Job, face: Face) -> None:
    stand = job.framing_of(face.name)
    if stand is None:
        return
    for x_m in stand.centres_m(0.0, face.width_m, face.width_m):
        drawing.line("FRAMING", (x_m, 0.0), (x_m, face.height_m))


def _dimensions(drawing: DxfDrawing, job: Job, face: Face, places: Sequence[Rectangle]) -> None:
    """From the left corner along the bottom, and from the floor along the left."""
    edges, levels = {0.0, face.width_m}, {0.0, face.height_m}
    for place in places:
        edges |= {round(place.u_m, 5), round(place.right_m, 5)}
        levels |= {round(place.v_m, 5), round(place.top_m, 5)}
    for x in sorted(edges):
        drawing.line("DIMENSIONS", (x, -AWAY_M / 4), (x, -AWAY_M))
        drawing.text("DIMENSIONS", (x + SMALL_M / 2, -5 * AWAY_M), length(x, job), SMALL_M, 90.0)
    for y in sorted(levels):
        drawing.line("DIMENSIONS", (-AWAY_M / 4, y), (-AWAY_M, y))
        drawing.text("DIMENSIONS", (-5 * AWAY_M, y - SMALL_M / 2), length(y, job), SMALL_M)


def plan_dxf(job: Job, pieces: Sequence[Placement]) -> str:
    """The floor plan: corner at the smallest x and y is 0."""
    drawing, floor = DxfDrawing(job.units), job.room.face("floor")
    drawing.outline("OUTLINE", floor.outline)
    for wall in job.room.faces:
        if wall.kind == "wall":
            _wall(drawing, job, floor, wall)
    for zone in job.keep_clear:
        if zone.face == "floor":
            drawing.box("KEEP-CLEAR", zone.zone)
            drawing.text("TEXT", zone.place.centre, zone.name, SMALL_M)
    for piece in pieces:
        _piece(drawing, job, floor, piece)
    for position in (*job.sources, *job.microphones):
        x = position.point.x - floor.origin.x
        y = position.point.y - floor.origin.y
        drawing.circle("POSITIONS", (x, y), 0.05)
        drawing.text("POSITIONS", (x + 0.07, y + 0.07), position.name, WORDS_M)
    return drawing.dxf()


def _wall(drawing: DxfDrawing, job: Job, floor: Face, wall: Face) -> None:
    """Name and length of a wall, and the openings in it."""
    words = f"{wall.name}  {length(wall.width_m, job)}"
    turned = 90.0 if abs(wall.u_axis[1]) > abs(wall.u_axis[0]) else 0.0
    drawing.text("TEXT", _flat(floor, wall, wall.width_m / 2, -0.15), words, WORDS_M, turned)
    for patch in job.patches:
        if patch.face != wall.name or not patch.opening:
            continue
        left, right = patch.place.u_m, patch.place.right_m
        corners = ((left, 0.0), (left, -0.1), (right, -0.1), (right, 0.0))
        drawing.outline("OPENINGS", [_flat(floor, wall, u, off) for u, off in corners])


def _piece(drawing: DxfDrawing, job: Job, floor: Face, piece: Placement) -> None:
    face, stock, r = job.room.face(piece.face), job.shop.piece(piece.piece), piece.place
    if face.kind != "wall":
        drawing.box("PIECES", r)
        drawing.text("TEXT", r.centre, piece.name, WORDS_M)
        return
    ends = [(r.u_m, 0.0), (r.right_m, 0.0), (r.right_m, stock.depth_m), (r.u_m, stock.depth_m)]
    if stock.kind == "corner":
        leg = stock.width_m / hypot(1, 1)
        ends = [(0.0, 0.0), (leg, 0.0), (0.0, leg)]
    drawing.outline("PIECES", [_flat(floor, face, u, off) for u, off in ends])
    drawing.text("TEXT", _flat(floor, face, r.centre[0], stock.depth_m + 0.05), piece.name, WORDS_M)


def _flat(floor: Face, wall: Face, u_m: float, off_m: float) -> tuple[float, float]:
    point = wall.to_room(u_m, 0.0, off_m)
    return point.x - floor.origin.x, point.y - floor.origin.y
