"""Walls measured on computed photographs, against what was laid down."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from scipy.spatial.transform import Rotation

from roomcheck.measure import Camera, Frame, Mark, MarksRefused, fit_photo, pixels_of, rectangle_on

TITLE = "Walls measured on photographs"
SEED = 20261130
DRAWS = 300
WIDE, TALL = 4000, 3000
PLACES = [(0.4, 0.2), (3.6, 0.2), (3.6, 2.3), (0.4, 2.3), (2.0, 0.2), (2.0, 2.3)]
CASES = (
    ("four marks", 4, 0, False),
    ("four marks, focal length recorded", 4, 0, True),
    ("six marks", 6, 0, False),
    ("four marks and two straight lines", 4, 2, False),
    ("six marks, two lines, focal length recorded", 6, 2, True),
)


def write(figures: Path) -> str | None:
    """One row a way of marking: how often a size lies within its uncertainty, how far it is off."""
    lines = [
        f"{DRAWS} computed photographs a row, {WIDE} pixels across, of a wall 4 m wide from 3 m or "
        "more: a pinhole with square pixels, a focal length unknown within a factor of 1.6, a lens "
        "that bends 3 % at the corner and looks 1 % off the middle (one standard deviation each), "
        "marks 3 pixels and tape 3 mm off. A window of 1 m by 1 m is measured by two corners. Asked: "
        "within the stated ± in 95 of 100, a median error under 8 mm with six marks or two lines.",
        "",
        "| marked | refused | within ±: left, bottom, width, height [%] | median error of the width "
        "[mm] | median ± of it [mm] |",
        "|---|---:|---|---:|---:|",
    ]
    for name, count, edges, recorded in CASES:
        rng = np.random.default_rng([SEED, count, edges, recorded])
        errors, said, refused = [], [], 0
        for _ in range(DRAWS):
            try:
                error, uncertain = _draw(rng, count, edges, recorded)
            except MarksRefused:
                refused += 1
                continue
            errors.append(np.abs(error))
            said.append(uncertain)
        inside = 100 * np.mean(np.array(errors) <= np.array(said), axis=0)
        off_mm, known_mm = 1e3 * np.median(errors, axis=0)[2], 1e3 * np.median(said, axis=0)[2]
        shares = ", ".join(f"{share:.0f}" for share in inside)
        lines.append(f"| {name} | {refused} | {shares} | {off_mm:.1f} | {known_mm:.1f} |")
    return "\n".join(lines)


def _draw(rng: np.random.Generator, count: int, edges: int, recorded: bool) -> tuple:
    """Error and stated uncertainty of left, bottom, width and height of one window. [m]"""
    camera = _camera(rng)
    places = np.array(PLACES[:count])
    pixels = pixels_of(camera, places) + rng.normal(0, 3, (count, 2))
    taped = places + rng.normal(0, 0.003, places.shape)
    lines = []
    for v_m in (0.2, 2.3)[:edges]:
        along = np.column_stack([np.linspace(0.3, 3.7, 7), np.full(7, v_m)])
        lines.append((pixels_of(camera, along) + rng.normal(0, 3, along.shape)).tolist())
    focal_px = camera.focal_px * float(np.exp(rng.normal(0, 0.03))) if recorded else None
    marks = [Mark(*pixel, *place) for pixel, place in zip(pixels, taped, strict=True)]
    photo = fit_photo(Frame(WIDE, TALL, focal_px), marks, lines)
    left, bottom = rng.uniform(0.6, 2.4), rng.uniform(0.8, 1.1)
    corners = pixels_of(camera, np.array([(left, bottom), (left + 1, bottom + 1)]))
    found = rectangle_on(photo, (corners + rng.normal(0, 3, (2, 2))).tolist())
    values = np.array([found.left_m, found.bottom_m, found.width_m, found.height_m])
    said = np.array([found.left_95_m, found.bottom_95_m, found.width_95_m, found.height_95_m])
    return values - [left, bottom, 1.0, 1.0], said


def _camera(rng: np.random.Generator) -> Camera:
    """Somebody before the wall, as near as all places are seen."""
    distance_m = 3.0
    while True:
        focal_px = float(0.65 * np.hypot(WIDE, TALL) * np.exp(rng.normal(0, 0.25)))
        stood = np.array([2 + rng.uniform(-1, 1), rng.uniform(1.2, 1.8), distance_m])
        aim = np.array([2 + rng.uniform(-0.3, 0.3), 1.25 + rng.uniform(-0.2, 0.2), 0.0])
        ahead = (aim - stood) / np.linalg.norm(aim - stood)
        right = np.cross(ahead, [0, 1, 0])
        right /= np.linalg.norm(right)
        level = np.stack([right, np.cross(ahead, right), ahead])
        turn = Rotation.from_rotvec([0, 0, rng.normal(0, 0.02)]).as_matrix() @ level
        camera = Camera(
            Frame(WIDE, TALL),
            tuple(map(tuple, turn.tolist())),
            tuple((-turn @ stood).tolist()),
            focal_px,
            float(rng.normal(0, 0.03)),
            tuple(rng.normal(0, 0.01 * np.hypot(WIDE, TALL), 2).tolist()),
        )
        seen = pixels_of(camera, np.array(PLACES))
        if ((seen > 0) & (seen < [WIDE, TALL])).all():
            return camera
        distance_m *= 1.05
