"""From a place on the wall to its pixel, and back."""

from __future__ import annotations

import numpy as np

from roomcheck.measure.photo.results import Array, Camera, Frame, rows

UNKNOWNS = 10
"""Three turns, three shifts [m], ln focal length, bend, and where the lens looks (2)."""
_NEWTON_STEPS = 12


def camera_of(unknowns: Array, frame: Frame, first: Array) -> Camera:
    """A camera from its ten unknowns; turns count from the rotation `first`: (3, 3)."""
    from scipy.spatial.transform import Rotation

    turn = Rotation.from_rotvec(unknowns[:3]).as_matrix() @ first
    x, y, z = (float(value) for value in unknowns[3:6])
    return Camera(
        frame=frame,
        turn=tuple((float(a), float(b), float(c)) for a, b, c in rows(turn)),
        shift_m=(x, y, z),
        focal_px=float(np.exp(unknowns[6])),
        bend=float(unknowns[7]),
        axis_px=(float(unknowns[8]), float(unknowns[9])),
    )


def pixels_of(camera: Camera, places_m: Array) -> Array:
    """Where places appear.

    Parameters
    ----------
    camera : Camera
    places_m : ndarray, (n, 2) or (n, 3)
        In the wall's frame: u, v and, if given, w into the room. [m]

    Returns
    -------
    ndarray, (n, 2)
        Pixels from the picture's left and top; nan behind the camera.
    """
    places = np.atleast_2d(np.asarray(places_m, dtype=float))
    if places.shape[1] == 2:
        places = np.column_stack([places, np.zeros(len(places))])
    seen = places @ np.array(camera.turn).T + np.array(camera.shift_m)
    with np.errstate(divide="ignore", invalid="ignore"):
        flat = camera.focal_px * seen[:, :2] / seen[:, 2:] + np.array(camera.axis_px)
    flat[seen[:, 2] <= 0] = np.nan
    away = flat / camera.frame.radius_px
    stretch = 1 + camera.bend * np.sum(away**2, axis=1, keepdims=True)
    pixels: Array = camera.frame.centre_px + flat * stretch
    return pixels


def straight_px(pixels: Array, bend: float, frame: Frame) -> Array:
    """Where pixels would lie, off the picture's middle, had the lens not bent the picture: (n, 2).

    The cubic r (1 + bend r2) = d is solved by Newton's method.
    """
    bent = (np.atleast_2d(pixels) - frame.centre_px) / frame.radius_px
    far = np.linalg.norm(bent, axis=1, keepdims=True)
    radius = far.copy()
    for _ in range(_NEWTON_STEPS):
        radius -= (radius * (1 + bend * radius**2) - far) / (1 + 3 * bend * radius**2)
    back = np.divide(radius, far, out=np.ones_like(far), where=far > 0)
    straight: Array = bent * back * frame.radius_px
    return straight


def places_of(camera: Camera, pixels: Array) -> Array:
    """Places on the wall that appear at pixels: (n, 2). [m]"""
    flat = straight_px(pixels, camera.bend, camera.frame) - np.array(camera.axis_px)
    turn = np.array(camera.turn)
    rays = np.column_stack([flat / camera.focal_px, np.ones(len(flat))]) @ turn
    stood = camera.place_m
    along = -stood[2] / rays[:, 2]
    places: Array = (stood + rays * along[:, None])[:, :2]
    return places
