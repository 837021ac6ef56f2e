"""The pictures of rooms that README shows: a made-up rehearsal room, and a block diffuser drawn apart.

python benchmarks/room_pictures.py [FOLDER]
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import roomcheck.demo
from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import Job, Patch, Placement, Position, load_job, read_signed
from roomcheck.quote import Agreement
from roomcheck.report import exploded, room_picture
from roomcheck.workshop import build_pieces

STORY_ROOM = Path(roomcheck.demo.__file__).parent / "story-room"
REHEARSAL = Room(
    corners=((0, 0), (6.4, 0), (6.4, 2.7), (3.6, 2.7), (3.6, 5.2), (0, 5.2)),
    height_m=2.8,
    wall_names=("street", "stage", "inner stage", "inner yard", "yard", "garden"),
)
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


if __name__ == "__main__":
    write(Path(sys.argv[1] if len(sys.argv) > 1 else "docs/figures"))
