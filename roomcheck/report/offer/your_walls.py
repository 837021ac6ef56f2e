"""The client's own walls: photographs with the plan on them, and straightened under the drawings.

Only photographs of which somebody said that nobody is in them; what the camera wrote is left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Face
from roomcheck.job import Job, Placement
from roomcheck.measure import Camera, KeptPhoto, ReadOff, read_photos, straightened, upright
from roomcheck.report.figures.figures import image_in
from roomcheck.report.pages.parts import titled
from roomcheck.report.render.blocks import Block, Heading, Picture, Text
from roomcheck.report.space.on_photo import jpeg_of, on_photo
from roomcheck.scene import scene
from roomcheck.words import heading, joined, say

_WIDE_PT, _HIGH_PT = 420.0, 272.0
"""Most that a photograph takes of a page, so that two stand on one. [pt]"""
_MOST_PX = 1600
"""Longer side of a photograph on paper: 270 pixels an inch."""
_FLAT_PX = 1100
_PALE = 0.45
"""How much of white lies over a photograph under a drawing, so that its lines are read. [1]"""


@dataclass(frozen=True, slots=True)
class Wall:
    """A wall with a photograph that may be shown."""

    face: Face
    photo: KeptPhoto
    read: ReadOff


def walls_shown(job: Job, pieces: Sequence[Placement]) -> tuple[Wall, ...]:
    """Walls that carry a piece and have a photograph that may go into a document."""
    carrying = {piece.face for piece in pieces}
    read = read_photos(job)
    return tuple(
        Wall(face, *read[face.name])
        for face in job.room.faces
        if face.name in carrying and face.name in read and read[face.name][0].marked.people is False
    )


def your_walls(job: Job, pieces: Sequence[Placement]) -> tuple[Block, ...]:
    """Each of these walls with the plan's pieces on it; nothing where there is none."""
    walls = walls_shown(job, pieces)
    if not walls:
        return ()
    try:
        built = scene(job, pieces)
    except RoomcheckError:
        return ()  # a piece is no longer in the shop's file: nobody knows what it looks like
    pictures: list[Block] = []
    for wall in walls:
        picture, camera = _smaller(wall.photo.file, wall.read.photo.camera)
        drawn = on_photo(picture, camera, wall.face, built)
        names = joined([piece.name for piece in pieces if piece.face == wall.face.name])
        title = heading(wall.face.name)
        pictures.append(
            Picture(
                svg=_svg_of(jpeg_of(drawn), drawn.shape[1], drawn.shape[0]),
                alt=say("alt_your_wall", face=title, names=names),
                caption=say("cap_your_wall", face=title, names=names),
            )
        )
    said = Text(body=say("your_walls_say"), small=True)
    return titled(Heading(text=say("your_walls")), (said, *pictures))


def photographs_under(job: Job, pieces: Sequence[Placement]) -> dict[str, bytes]:
    """The same walls straightened, pale, to lie under their elevations: JPEG by face."""
    found = {}
    for wall in walls_shown(job, pieces):
        face = wall.face
        scale = _FLAT_PX / max(face.width_m, face.height_m)
        flat = straightened(upright(wall.photo.file), wall.read.photo.camera, face, scale)
        found[face.name] = jpeg_of(_pale(flat, face))
    return found


def _pale(flat: NDArray[np.uint8], face: Face) -> NDArray[np.uint8]:
    """The photograph lighter, and white beside the face where that is no rectangle."""
    from PIL import Image, ImageDraw

    rows, columns = flat.shape[:2]
    corners = [
        (u / face.width_m * columns, (1 - v / face.height_m) * rows) for u, v in face.outline
    ]
    mask = Image.new("L", (columns, rows), 0)
    ImageDraw.Draw(mask).polygon(corners, fill=255)
    inside = np.asarray(mask)[:, :, None] > 0
    pale = _PALE * 255 + (1 - _PALE) * flat.astype(float)
    return np.where(inside, pale, 255).astype(np.uint8)


def _smaller(file: Path, camera: Camera) -> tuple[NDArray[np.uint8], Camera]:
    """A photograph as large as paper shows it, with the camera that made it."""
    return _scaled(file, file.stat().st_mtime_ns, camera)


@lru_cache(maxsize=4)
def _scaled(file: Path, _changed_ns: int, camera: Camera) -> tuple[NDArray[np.uint8], Camera]:
    from PIL import Image

    picture = Image.fromarray(upright(file))
    picture.thumbnail((_MOST_PX, _MOST_PX))
    return np.asarray(picture), camera.scaled(picture.width, picture.height)


def _svg_of(jpeg: bytes, columns: int, rows: int) -> str:
    """A photograph as a drawing of its own."""
    scale = min(_WIDE_PT / columns, _HIGH_PT / rows)
    wide, high = columns * scale, rows * scale
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.2f}pt" height="{high:.2f}pt" '
        f'viewBox="0 0 {wide:.2f} {high:.2f}">{image_in(jpeg, (0.0, 0.0, wide, high))}</svg>'
    )
