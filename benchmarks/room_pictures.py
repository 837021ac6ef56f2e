"""The pictures of rooms that README shows: a made-up rehearsal room, a block diffuser drawn apart,
and a made-up photograph of a wall with a plan on it.

python benchmarks/room_pictures.py [FOLDER]
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

import roomcheck.demo
from roomcheck.geometry import Face, Point, Rectangle, Room
from roomcheck.job import ChosenLook, Job, Patch, Placement, Position, load_job, read_signed
from roomcheck.measure import Camera, Frame, Mark, fit_photo, pixels_of
from roomcheck.quote import Agreement
from roomcheck.report import exploded, jpeg_of, on_photo, room_picture
from roomcheck.scene import scene
from roomcheck.workshop import build_pieces

STORY_ROOM = Path(roomcheck.demo.__file__).parent / "story-room"
REHEARSAL = Room(
    corners=((0, 0), (6.4, 0), (6.4, 2.7), (3.6, 2.7), (3.6, 5.2), (0, 5.2)),
    height_m=2.8,
    wall_names=("street", "stage", "inner stage", "inner yard", "yard", "garden"),
)
SHOWN = ("4 in panel", "block diffuser", "block diffuser", "4 in panel")
PIECES = (
    ("A1", "block diffuser", "street", (2.2, 0.9, 0.6096, 1.2192)),
    ("A2", "block diffuser", "street", (2.9, 0.9, 0.6096, 1.2192)),
    ("A3", "well diffuser", "street", (3.8, 0.9, 0.6096, 1.2192)),
    ("A4", "4 in ceiling cloud", "ceiling", (1.2, 2.9, 1.2192, 1.2192)),
    ("A5", "4 in panel", "garden", (3.4, 0.9, 0.6096, 1.2192)),
    ("A6", "corner trap", "garden", (0.0, 0.8, 0.6096, 1.2192)),
    ("A7", "2 in panel", "yard", (1.0, 1.0, 1.2192, 0.6096)),
    ("A8", "4 in panel", "inner yard", (0.7, 0.9, 0.6096, 1.2192)),
)


def rehearsal_room() -> tuple[Job, list[Placement]]:
    """An L-shaped room with a cloud and block diffusers, made up like everything in the demo."""
    window = Rectangle(1.2, 0.9, 1.7, 1.2)
    door = Rectangle(0.5, 0.0, 0.9, 2.03)
    patches = (
        Patch(name="window", face="garden", material="double glazing", place=window, opening=True),
        Patch(name="door", face="street", material="solid wooden door", place=door, opening=True),
    )
    job = replace(
        load_job(STORY_ROOM),
        room=REHEARSAL,
        materials=tuple((face.name, "gypsum board on studs") for face in REHEARSAL.faces),
        patches=patches,
        keep_clear=(),
        framing=(),
        sources=(
            Position(name="S1", point=Point(1.0, 4.4, 1.2)),
            Position(name="S2", point=Point(2.6, 4.4, 1.2)),
        ),
        microphones=(Position(name="P1", point=Point(1.8, 3.2, 1.2)),),
        seat="P1",
    )
    pieces = [
        Placement(name=name, piece=piece, face=face, place=Rectangle(*place))
        for name, piece, face, place in PIECES
    ]
    return job, pieces


WIDE_PX, HIGH_PX, FOCAL_PX = 2000, 1500, 1250.0
"""Of the made-up camera."""
_LIGHT = {"wall": (226, 219, 205), "floor": (146, 112, 78), "ceiling": (238, 237, 233)}
"""Colours of what is photographed; nothing decides by them."""


def photographed(job: Job, name: str) -> tuple[np.ndarray, Camera]:
    """A photograph of a wall that nobody took: rays from a known camera into the room, with
    openings, a skirting board, light from above, and noise; and that camera."""
    face = job.room.face(name)
    eye = np.array([0.46 * face.width_m, 1.55, 3.2])
    aim = np.array([0.5 * face.width_m, 0.5 * face.height_m, 0.0])
    ahead = (aim - eye) / np.linalg.norm(aim - eye)
    right = np.cross(ahead, [0, 1, 0])
    right /= np.linalg.norm(right)
    turn = np.stack([right, np.cross(ahead, right), ahead])
    rows = tuple(tuple(float(x) for x in row) for row in turn)
    x, y, z = (float(value) for value in -turn @ eye)
    frame = Frame(WIDE_PX, HIGH_PX)
    camera = Camera(frame, rows, (x, y, z), FOCAL_PX, 0.0, (0.0, 0.0))
    across, down = np.meshgrid(np.arange(WIDE_PX) + 0.5, np.arange(HIGH_PX) + 0.5)
    flat = np.stack([across - WIDE_PX / 2, down - HIGH_PX / 2, np.full(across.shape, FOCAL_PX)], -1)
    rays = flat / FOCAL_PX @ turn
    return _lit(job, face, eye, rays), camera


def _lit(job: Job, face: Face, eye: np.ndarray, rays: np.ndarray) -> np.ndarray:
    """What rays from the eye meet first: the wall, or floor, ceiling and walls beside it."""
    wide, high = face.width_m, face.height_m
    planes = (("wall", 2, 0.0), ("floor", 1, 0.0), ("ceiling", 1, high))
    planes += (("left", 0, 0.0), ("right", 0, wide))
    nearest = np.full(rays.shape[:2], np.inf)
    picture = np.zeros((*rays.shape[:2], 3))
    for kind, axis, at in planes:
        with np.errstate(divide="ignore"):
            far = (at - eye[axis]) / rays[:, :, axis]
        seen = (far > 0) & (far < nearest)
        nearest[seen] = far[seen]
        place = eye + far[seen][:, None] * rays[seen]
        picture[seen] = _tone(job, face, kind, place)
    grain = np.random.default_rng(3).normal(0, 2.5, picture.shape[:2])[:, :, None]
    return np.clip(picture + grain, 0, 255).astype(np.uint8)


def _tone(job: Job, face: Face, kind: str, place: np.ndarray) -> np.ndarray:
    """Colours of places on one plane."""
    light = 0.72 + 0.28 * np.clip(place[:, 1] / face.height_m, 0, 1)
    light *= 1 - 0.05 * np.abs(place[:, 0] / face.width_m - 0.4)
    base = np.array(_LIGHT.get(kind, _LIGHT["wall"]), dtype=float)
    shade = 0.9 if kind in ("left", "right") else 1.0
    tone = base * shade * light[:, None]
    if kind == "floor":
        boards = 1 + 0.05 * np.sin(40 * place[:, 2]) + 0.03 * np.sin(9 * place[:, 0])
        tone = base * boards[:, None]
    if kind != "wall":
        return tone
    tone[place[:, 1] < 0.09] = (205, 200, 190)
    things = [
        (p.place, (150, 185, 215) if p.place.v_m > 0.05 else (168, 132, 96))
        for p in job.patches
        if p.face == face.name
    ]
    things += [(z.place, (246, 246, 244)) for z in job.keep_clear if z.face == face.name]
    for where, colour in things:
        for grown_m, tint in (
            (0.05 if where.width_m > 0.3 else 0.004, (240, 238, 232)),
            (0.0, colour),
        ):
            r = where.grown(grown_m)
            inside = (place[:, 0] > r.u_m) & (place[:, 0] < r.right_m)
            inside &= (place[:, 1] > r.v_m) & (place[:, 1] < r.top_m)
            tone[inside] = tint
    return tone


def wall_with_plan(job: Job, pieces: Sequence[Placement], name: str) -> bytes:
    """The made-up photograph with the plan drawn into it, by a camera found from its four corners."""
    picture, true = photographed(job, name)
    face = job.room.face(name)
    corners = ((0, face.height_m), (face.width_m, face.height_m), (face.width_m, 0), (0, 0))
    pixels = pixels_of(true, np.array(corners)).tolist()
    marks = [Mark(*at, *place) for at, place in zip(pixels, corners, strict=True)]
    found = fit_photo(Frame(WIDE_PX, HIGH_PX, FOCAL_PX), marks)
    return jpeg_of(on_photo(picture, found.camera, face, scene(job, pieces)))


def write(folder: Path) -> None:
    """Draw them all."""
    story = load_job(STORY_ROOM)
    plan = read_signed(STORY_ROOM).value(Agreement).plan
    room, pieces = rehearsal_room()
    pictures = {
        "room-story-room": room_picture(story, plan.pieces),
        "room-rehearsal": room_picture(room, pieces),
        "room-reflections": room_picture(room, (), paths=True),
        "piece-block-diffuser": exploded(build_pieces(story, [("block diffuser", 1)]).sheets[0]),
    }
    for name, svg in pictures.items():
        (folder / f"{name}.svg").write_text(svg, encoding="utf-8")
    green, walnut = (look for look in story.shop.looks if look.name in ("forest green", "walnut"))
    chosen = (ChosenLook(look=green), ChosenLook(look=walnut))
    dressed = replace(story, looks=chosen)
    hung = [
        Placement(name=f"A{i}", piece=piece, face="north", place=Rectangle(left, 0.8, 0.61, 1.22))
        for i, (piece, left) in enumerate(zip(SHOWN, (0.5, 1.35, 2.2, 3.05), strict=True), 1)
    ]
    (folder / "photo-plan.jpg").write_bytes(wall_with_plan(dressed, hung, "north"))


if __name__ == "__main__":
    write(Path(sys.argv[1] if len(sys.argv) > 1 else "docs/figures"))
