"""A plan's pieces drawn into a photograph of their wall, as the camera would have seen them."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Face
from roomcheck.measure import Camera, pixels_of
from roomcheck.scene import Facets, Look, Scene, Shape, Standing, hull_facets, piece_facets
from roomcheck.words import say

Floats = NDArray[np.float64]

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


def on_photo(
    picture: NDArray[np.uint8], camera: Camera, face: Face, scene: Scene
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

    Returns
    -------
    ndarray, (height, width, 3)
        With a line at its foot that says what it is.
    """
    from PIL import Image, ImageDraw, ImageFilter

    hung = [piece for piece in scene.pieces if piece.face == face.name]
    ground = Image.fromarray(picture)
    shade = Image.new("L", ground.size, 0)
    draw = ImageDraw.Draw(shade)
    for piece in hung:
        for outline in _shadows(scene, piece, face, camera):
            draw.polygon(outline, fill=round(255 * _SHADOW))
    soft_px = _SHADOW_M * _px_a_metre(camera, face)
    shade = shade.filter(ImageFilter.GaussianBlur(soft_px))
    ground.paste((0, 0, 0), (0, 0), shade)
    fine = (ground.width * _FINE, ground.height * _FINE)
    layer = Image.new("RGBA", fine, (0, 0, 0, 0))
    pen = ImageDraw.Draw(layer)
    for outline, colour in _sides(scene, hung, face, camera):
        pen.polygon([(x * _FINE, y * _FINE) for x, y in outline], fill=(*colour, 255))
    layer = layer.resize(ground.size, Image.Resampling.LANCZOS)
    ground.paste(layer, (0, 0), layer)
    _say_what_it_is(ground)
    return np.asarray(ground)


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
) -> list[tuple[list[tuple[float, float]], tuple[int, int, int]]]:
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


def _shadows(
    scene: Scene, piece: Standing, face: Face, camera: Camera
) -> list[list[tuple[float, float]]]:
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
