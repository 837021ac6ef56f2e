"""The wall as if one had stood straight before it, cut out of its photograph."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Face
from roomcheck.measure.photo.projection import pixels_of
from roomcheck.measure.photo.results import Camera
from roomcheck.parts import OnPart, Parts

_MOST_PX = 4000
_STRIP_ROWS = 256
"""Of the wall, drawn at a time: the work in memory stays small."""


def straightened(
    picture: NDArray[np.uint8],
    camera: Camera,
    face: Face,
    px_a_metre: float = 400.0,
    on_part: OnPart | None = None,
) -> NDArray[np.uint8]:
    """Draw the wall to scale from its photograph.

    Parameters
    ----------
    picture : ndarray, (height, width, 3)
        Upright.
    camera : Camera
        Of that picture.
    face : Face
    px_a_metre : float
        Scale of what comes out; less where the wall would be larger than 4,000 pixels. [1/m]
    on_part : callable or None
        Gets how many strips of the wall are drawn, and how many there are.

    Returns
    -------
    ndarray, (rows, columns, 3)
        The wall's left edge at column 0, its top at row 0; white where the picture does not reach.
    """
    from scipy.ndimage import map_coordinates

    scale = min(px_a_metre, _MOST_PX / max(face.width_m, face.height_m))
    columns, rows = round(face.width_m * scale), round(face.height_m * scale)
    u = (np.arange(columns) + 0.5) / scale
    v = face.height_m - (np.arange(rows) + 0.5) / scale
    out = np.empty((rows, columns, 3), dtype=np.uint8)
    starts = range(0, rows, _STRIP_ROWS)
    parts = Parts(on_part, len(starts))
    for start in starts:
        strip = slice(start, start + _STRIP_ROWS)
        us, vs = np.meshgrid(u, v[strip])
        at = pixels_of(camera, np.column_stack([us.ravel(), vs.ravel()])) - 0.5
        at = np.nan_to_num(at, nan=-1e6)
        for channel in range(3):
            seen = map_coordinates(picture[:, :, channel], at.T[::-1], order=1, cval=255)
            out[strip, :, channel] = seen.reshape(us.shape)
        parts.add()
    return out
