"""A plan's pieces drawn into a photograph of their wall, as the camera would have seen them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from math import ceil, floor
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Face
from roomcheck.measure import Camera, pixels_of
from roomcheck.parts import OnPart, Parts
from roomcheck.scene import Facets, Look, Scene, Shape, Standing, hull_facets, piece_facets
from roomcheck.words import say

if TYPE_CHECKING:
    from PIL import Image

Floats = NDArray[np.float64]
Outline = list[tuple[float, float]]
Box = tuple[int, int, int, int]

COLOURS: dict[Look, tuple[int, int, int]] = {
    "wood": (176, 134, 88),
    "end grain": (150, 108, 68),
    "plywood": (196, 164, 118),
    "cloth": (122, 132, 138),
    "felt": (96, 102, 106),
    "wool": (206, 196, 150),
}
"""Of what is seen, where the job chose no colour. Judgement."""
_LIGHT = np.array([-0.35, 0.6, 0.72])
"""Towards the light, in the wall's frame: from above, to the left, out of the room's middle."""
_LEAST_LIGHT = 0.55
_SHADOW = 0.4
_SHADOW_M = 0.015
"""How far a shadow's edge is soft [m]."""
_FINE = 2
"""Drawn so many times as large, for smooth edges."""
_STRIP_ROWS = 256
"""Of the picture, drawn at a time."""


def on_photo(
    picture: NDArray[np.uint8],
    camera: Camera,
    face: Face,
    scene: Scene,
    on_part: OnPart | None = None,
) -> NDArray[np.uint8]:
    """Draw what hangs on a wall into its photograph.

    Parameters
    ----------
    picture : ndarray, (height, width, 3)
        Upright.
    camera : Camera
        Of that picture, fitted to the face.
    face : Face
    scene : Scene
    on_part : callable or None
        Gets how many strips of the picture are drawn, and how many there are.

    Returns
    -------
    ndarray, (height, width, 3)
        With a line at its foot that says what it is.
    """
    from PIL import Image

    hung = [piece for piece in scene.pieces if piece.face == face.name]
    shadows = [fallen for piece in hung for fallen in _shadows(scene, piece, face, camera)]
    drawn = _Drawn(
        shadows=shadows,
        soft_px=_SHADOW_M * _px_a_metre(camera, face),
        sides=_sides(scene, hung, face, camera),
    )
    ground = Image.fromarray(picture)
    strips = drawn.strips(ground.size)
    parts = Parts(on_part, len(strips))
    for strip in strips:
        drawn.draw_into(ground, strip)
        parts.add()
    _say_what_it_is(ground)
    return np.asarray(ground)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawn:
    """What is drawn into a photograph, strip by strip: the whole of a large one, enlarged, would
    take gigabytes."""

    shadows: Sequence[Outline]
    soft_px: float
    """How far a shadow's edge is soft [px]."""
    sides: Sequence[tuple[Outline, tuple[int, int, int]]]
    """What is seen of the pieces, the farthest first, with its colour."""

    @property
    def reach_px(self) -> int:
        """How far a drawn pixel depends on its neighbours: the blur, and the filter that makes
        smooth edges. [px]"""
        return ceil(4 * self.soft_px) + 4

    def strips(self, size: tuple[int, int]) -> list[Box]:
        """Left, top, right and bottom of the parts of the picture that change. [px]"""
        points = [point for outline in self.shadows for point in outline]
        points += [point for outline, _ in self.sides for point in outline]
        if not points:
            return []
        x, y = np.array(points).T
        whole = (floor(x.min()), floor(y.min()), ceil(x.max()), ceil(y.max()))
        left, top, right, bottom = _grown(whole, self.reach_px, size)
        if left >= right:
            return []
        starts = range(top, bottom, _STRIP_ROWS)
        return [(left, start, right, min(start + _STRIP_ROWS, bottom)) for start in starts]

    def draw_into(self, ground: Image.Image, box: Box) -> None:
        """Draw one strip."""
        from PIL import Image, ImageDraw, ImageFilter

        around = _grown(box, self.reach_px, ground.size)
        left, top, right, bottom = around
        size = (right - left, bottom - top)
        inner = (box[0] - left, box[1] - top, box[2] - left, box[3] - top)
        shade = Image.new("L", size, 0)
        draw = ImageDraw.Draw(shade)
        for outline in self.shadows:
            draw.polygon(_within(outline, left, top), fill=round(255 * _SHADOW))
        shade = shade.filter(ImageFilter.GaussianBlur(self.soft_px)).crop(inner)
        ground.paste((0, 0, 0), box, shade)
        layer = Image.new("RGBA", (size[0] * _FINE, size[1] * _FINE), (0, 0, 0, 0))
        pen = ImageDraw.Draw(layer)
        for outline, colour in self.sides:
            pen.polygon(_within(outline, left, top, _FINE), fill=(*colour, 255))
        layer = layer.resize(size, Image.Resampling.LANCZOS).crop(inner)
        ground.paste(layer, box, layer)


def _grown(box: Box, by_px: int, size: tuple[int, int]) -> Box:
    """A box grown on every side, within the picture."""
    left, top, right, bottom = box
    return (
        max(left - by_px, 0),
        max(top - by_px, 0),
        min(right + by_px, size[0]),
        min(bottom + by_px, size[1]),
    )


def _within(outline: Outline, left: int, top: int, times: int = 1) -> Outline:
    """An outline as seen from another corner, so many times as large."""
    return [((x - left) * times, (y - top) * times) for x, y in outline]


def jpeg_of(picture: NDArray[np.uint8]) -> bytes:
    """A picture as JPEG, with nothing in it of place, time or camera."""
    from PIL import Image

    out = BytesIO()
    Image.fromarray(picture).save(out, "JPEG", quality=88, optimize=True)
    return out.getvalue()


def in_wall_frame(face: Face, points: Floats) -> Floats:
    """Places of the room in the wall's frame: u, v, and out of the wall, (…, 3). [m]"""
    axes = np.array([face.u_axis, face.v_axis, face.normal])
    turned: Floats = (points - np.array(face.origin)) @ axes.T
    return turned


def _sides(
    scene: Scene, hung: Sequence[Standing], face: Face, camera: Camera
) -> list[tuple[Outline, tuple[int, int, int]]]:
    """What is seen of the pieces, the farthest first: outline in the picture, colour."""
    found = []
    eye = camera.place_m
    light = _LIGHT / np.linalg.norm(_LIGHT)
    for piece in hung:
        shape = scene.shape(piece.piece)
        facets: Facets = piece_facets(piece, shape)
        corners = in_wall_frame(face, facets.corners)
        normals = facets.normals @ np.array([face.u_axis, face.v_axis, face.normal]).T
        middle = corners.mean(axis=1)
        seen = np.einsum("fi,fi->f", eye - middle, normals) > 0
        for i in np.flatnonzero(seen):
            pixels = pixels_of(camera, corners[i])
            if np.isnan(pixels).any():
                continue
            lit = _LEAST_LIGHT + (1 - _LEAST_LIGHT) * max(0.0, float(normals[i] @ light))
            red, green, blue = _colour(shape, shape.outside[facets.body[i]].look)
            colour = (round(red * lit), round(green * lit), round(blue * lit))
            away = float(np.linalg.norm(eye - middle[i]))
            found.append((away, [(float(x), float(y)) for x, y in pixels], colour))
    found.sort(key=lambda side: -side[0])
    return [(outline, colour) for _, outline, colour in found]


def _colour(shape: Shape, look: Look) -> tuple[int, int, int]:
    """Red, green and blue of what is seen: as chosen, else the usual."""
    chosen = shape.colour(look)
    if chosen is None:
        return COLOURS[look]
    red, green, blue = bytes.fromhex(chosen.removeprefix("#"))
    return red, green, blue


def _shadows(scene: Scene, piece: Standing, face: Face, camera: Camera) -> list[Outline]:
    """Where a piece keeps the light off the wall: outlines in the picture."""
    facets = hull_facets(piece, scene.shape(piece.piece))
    corners = in_wall_frame(face, facets.corners)
    fallen = corners - corners[..., 2:] * (_LIGHT / _LIGHT[2])
    outlines = [pixels_of(camera, each) for each in fallen]
    return [
        [(float(x), float(y)) for x, y in pixels]
        for pixels in outlines
        if not np.isnan(pixels).any()
    ]


def _px_a_metre(camera: Camera, face: Face) -> float:
    middle = np.array([face.width_m / 2, face.height_m / 2])
    ends = pixels_of(camera, middle + np.array([[0.0, 0.0], [0.1, 0.0]]))
    return float(np.linalg.norm(ends[1] - ends[0]) * 10)


def _say_what_it_is(ground: object) -> None:
    """Write at the foot that this is a picture of a plan."""
    from PIL import Image, ImageDraw, ImageFont

    assert isinstance(ground, Image.Image)
    size = max(14, ground.width // 60)
    font = ImageFont.load_default(size)
    text = say("photo_is_a_plan")
    pen = ImageDraw.Draw(ground)
    pen.rectangle((0, ground.height - 2 * size, ground.width, ground.height), fill=(255, 255, 255))
    pen.text((size, ground.height - round(1.6 * size)), text, fill=(30, 30, 30), font=font)
