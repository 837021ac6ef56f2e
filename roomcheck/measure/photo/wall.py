"""What marks on a photograph say of its wall: where the camera stood, what was measured, whether
two photographs agree about the corner that they share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Face, Rectangle, Room
from roomcheck.job import Job, places_on
from roomcheck.measure.photo.fit import MarksRefused, fit_photo
from roomcheck.measure.photo.kept import KeptPhoto, Marked, kept_photos, marks_of
from roomcheck.measure.photo.read import frame_of
from roomcheck.measure.photo.results import TAPE_M, Frame, Measured, WallPhoto
from roomcheck.measure.photo.sizes import edge_on, rectangle_on

LEFT_EDGE, RIGHT_EDGE = "left edge", "right edge"
"""Names of the upright lines where a wall meets its neighbours, marked at foot and head."""
_AT_EDGE_M = 0.02
"""A mark so near an edge of the wall is one of its corners. [m]"""
_COVERAGE = 2.0


@dataclass(frozen=True, slots=True)
class ReadOff:
    """All that one photograph says of its wall."""

    photo: WallPhoto
    things: Mapping[str, Measured]
    """By name; the wall's edges among them."""
    refused: Mapping[str, MarksRefused]
    """Why a thing could not be measured, by its name."""


@dataclass(frozen=True, slots=True)
class SharedCorner:
    """The height of one corner of the room, by the photographs of its two walls. [m]"""

    walls: tuple[str, str]
    heights_m: tuple[float, float]
    heights_95_m: tuple[float, float]
    """Expanded uncertainty, k = 2."""

    @property
    def agrees(self) -> bool:
        """Whether the heights differ by no more than their uncertainties together."""
        return abs(self.heights_m[0] - self.heights_m[1]) <= hypot(*self.heights_95_m)


def read_off(job: Job, face: Face, frame: Frame, marked: Marked) -> ReadOff:
    """Fit the camera to a photograph's marks and measure what else was marked.

    Raises
    ------
    MarksRefused, NotTyped
        The marks cannot be those of this wall.
    """
    photo = fit_photo(frame, marks_of(job, face, marked), marked.lines)
    things, refused = dict[str, Measured](), dict[str, MarksRefused]()
    for name, corners in marked.things:
        measure = edge_on if name in (LEFT_EDGE, RIGHT_EDGE) else rectangle_on
        try:
            things[name] = measure(photo, corners)
        except MarksRefused as problem:
            refused[name] = problem
    return ReadOff(photo, things, refused)


def known_on(job: Job, face: Face) -> dict[str, Rectangle]:
    """What the job says of a wall, by the name under which a photograph measures it. [m]"""
    edges = {
        name: Rectangle(at_m, 0.0, 0.0, face.height_m)
        for name, at_m in ((LEFT_EDGE, 0.0), (RIGHT_EDGE, face.width_m))
    }
    return edges | places_on(job, face.name)


def read_photos(job: Job) -> dict[str, tuple[KeptPhoto, ReadOff]]:
    """The job's photographs whose marks fit, the last of each wall, by the wall's name."""
    found = {}
    walls = {face.name: face for face in job.room.faces if face.kind == "wall"}
    for kept in kept_photos(job):
        if kept.face not in walls:
            continue
        try:
            read = read_off(job, walls[kept.face], frame_of(kept.file), kept.marked)
        except RoomcheckError:
            continue  # whoever looks at that photograph is told why
        found[kept.face] = (kept, read)
    return found


def shared_corners(room: Room, photos: Mapping[str, ReadOff]) -> tuple[SharedCorner, ...]:
    """Hold photographs of adjoining walls against each other.

    Parameters
    ----------
    photos : mapping
        By the wall's name.

    Returns
    -------
    tuple of SharedCorner
        One for each corner whose height both of its walls' photographs know.
    """
    names = room.wall_names
    found = []
    for wall, beside in zip(names, (*names[1:], names[0]), strict=True):
        # Seen from inside, a wall's left end is where the plan's next wall begins.
        if wall not in photos or beside not in photos:
            continue
        here = _edge(room.face(wall), photos[wall], LEFT_EDGE)
        there = _edge(room.face(beside), photos[beside], RIGHT_EDGE)
        if here is not None and there is not None:
            heights, doubts = zip(here, there, strict=True)
            found.append(SharedCorner((wall, beside), heights, doubts))
    return tuple(found)


def _edge(face: Face, read: ReadOff, edge: str) -> tuple[float, float] | None:
    """Height of a wall's edge with its uncertainty: as measured on the photograph, else as its
    marks at both ends say. [m]"""
    if edge in read.things:
        measured = read.things[edge]
        return measured.height_m, measured.height_95_m
    at_m = 0.0 if edge == LEFT_EDGE else face.width_m
    heights = [mark.v_m for mark in read.photo.marks if abs(mark.u_m - at_m) <= _AT_EDGE_M]
    if not heights or max(heights) - min(heights) < 0.5 * face.height_m or min(heights) > TAPE_M:
        return None
    return max(heights) - min(heights), _COVERAGE * hypot(TAPE_M, TAPE_M)
