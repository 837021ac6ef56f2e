"""roomcheck photo JOB WALL FILE: measure on a photograph of a wall, and draw the plan into it."""

from __future__ import annotations

import argparse
import re
from pathlib import Path
from typing import TYPE_CHECKING

from roomcheck.cli.terminal import Subparsers, add_command, doing, show, show_json
from roomcheck.errors import RoomcheckError

if TYPE_CHECKING:
    from roomcheck.geometry import Face
    from roomcheck.job import Edit, Job
    from roomcheck.measure import SharedCorner, WallPhoto

_ABOUT = (
    "Mark four points or more whose places on the wall you know, as pixels from the picture's left "
    "and top: its corners, a door's corners, or a rectangle that you taped. Points along an edge "
    "that is straight in truth (--line) tell how much the lens bends."
)
_POINT = re.compile(r"\s*(-?\d+(?:\.\d+)?)\s*,\s*(-?\d+(?:\.\d+)?)\s*")


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "photo",
        run,
        what="measure on a photograph of a wall, and draw the plan's pieces into it",
        example="roomcheck photo harbour-room north IMG_0412.jpg \\\n"
        '    --mark "212,340 = top left" --mark "3801,395 = top right" \\\n'
        '    --mark "240,2705 = bottom left" --mark "3772,2660 = bottom right" \\\n'
        '    --thing "outlet west = 1200,2400 1262,2508" --picture wall.jpg',
    )
    parser.description = f"{parser.description} {_ABOUT}"
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument("wall", metavar="WALL", help="its name in the job")
    parser.add_argument(
        "file", metavar="FILE", help="JPEG, PNG, TIFF, WebP, or HEIC with pillow-heif; only read"
    )
    parser.add_argument(
        "--mark",
        action="append",
        default=[],
        metavar="X,Y=PLACE",
        help='PLACE: "LEFT, BOTTOM" as lengths, "top left" of the wall, or "door top left"',
    )
    parser.add_argument(
        "--line",
        action="append",
        default=[],
        metavar="POINTS",
        help="three points or more of one straight edge: X,Y X,Y X,Y",
    )
    parser.add_argument(
        "--thing",
        action="append",
        default=[],
        metavar="NAME=POINTS",
        help='measure a rectangle by two opposite corners or four; the wall\'s "left edge" or '
        '"right edge" by foot and head',
    )
    parser.add_argument(
        "--add",
        metavar="KIND",
        help="add things that the job does not have: as window, door, or as KIND that must stay "
        "clear: outlet, switch",
    )
    parser.add_argument(
        "--people",
        choices=("yes", "no"),
        help="whether people are in the picture: only without does it go into a document",
    )
    parser.add_argument(
        "--straight", metavar="OUT", help="write the wall to scale, as JPEG; must be new"
    )
    parser.add_argument(
        "--picture", metavar="OUT", help="write the photograph with the plan on it; must be new"
    )
    parser.add_argument("--plan", metavar="N", type=int, help="(default: the signed one, or 2)")


def run(args: argparse.Namespace) -> int:
    from roomcheck.job import edit_job, found_edits, load_job
    from roomcheck.measure import Marked, frame_of, keep_photo, known_on, read_off

    job = load_job(args.job)
    face = _wall(job, args.wall)
    marked = Marked(
        marks=tuple(_mark(text) for text in args.mark),
        lines=tuple(_points(text) for text in args.line),
        things=tuple(_thing(text) for text in args.thing),
        people={"yes": True, "no": False}.get(args.people),
    )
    file = Path(args.file)
    for out in (args.straight, args.picture):
        if out and Path(out).exists():
            raise RoomcheckError(f"{out} is there already and is never overwritten; name another")
    with doing("photo", file=file):
        read = read_off(job, face, frame_of(file), marked)
    for problem in read.refused.values():
        raise problem
    known = known_on(job, face)
    new = [name for name in read.things if args.add and name not in known]
    edits: list[Edit] = []
    for name in new:
        found = read.things[name]
        edits += found_edits(job, face.name, name, args.add, found.place, found.within_m)
    if edits:
        edit_job(args.job, edits)
    kept = keep_photo(job, face.name, file, marked)
    _write_pictures(args, job, face, read.photo, file)
    if args.json:
        return show_json({"photo": read.photo, "things": read.things, "kept": kept})
    from roomcheck.report import photo_blocks

    show(photo_blocks(job, face, read, known, kept, new, _corners(job)))
    return 0


def _corners(job: Job) -> tuple[SharedCorner, ...]:
    """What the job's photographs say of the corners that they share."""
    from roomcheck.measure import read_photos, shared_corners

    reads = {wall: read for wall, (_, read) in read_photos(job).items()}
    return shared_corners(job.room, reads)


def _wall(job: Job, name: str) -> Face:
    walls = {face.name: face for face in job.room.faces if face.kind == "wall"}
    if name not in walls:
        raise RoomcheckError(f"there is no wall {name!r}; the room has {', '.join(walls)}")
    return walls[name]


def _mark(text: str) -> tuple[tuple[float, float], str]:
    pixel, sign, place = text.partition("=")
    if not sign or not place.strip():
        raise RoomcheckError(f'--mark {text!r}: needed X,Y = PLACE, such as "212,340 = top left"')
    (point,) = _points(pixel, 1)
    return point, place.strip()


def _thing(text: str) -> tuple[str, tuple[tuple[float, float], ...]]:
    name, sign, points = text.partition("=")
    if not sign or not name.strip():
        raise RoomcheckError(
            f'--thing {text!r}: needed NAME = X,Y X,Y, such as "outlet = 5,9 7,12"'
        )
    return name.strip(), _points(points)


def _points(text: str, count: int | None = None) -> tuple[tuple[float, float], ...]:
    """Points of the picture. [px]"""
    found = _POINT.findall(text)
    if _POINT.sub("", text).strip() or not found or count not in (None, len(found)):
        wanted = "one point X,Y" if count == 1 else "points as X,Y X,Y"
        raise RoomcheckError(f"{text.strip()!r}: needed {wanted}, in pixels")
    return tuple((float(x), float(y)) for x, y in found)


def _write_pictures(
    args: argparse.Namespace, job: Job, face: Face, photo: WallPhoto, file: Path
) -> None:
    from roomcheck.job import write_atomically
    from roomcheck.measure import straightened, upright

    if args.straight:
        from roomcheck.report import jpeg_of

        with doing("straight", file=args.straight) as shown:
            straight = straightened(upright(file), photo.camera, face, on_part=shown.part)
            write_atomically(args.straight, jpeg_of(straight))
    if args.picture:
        from roomcheck.cli.progress import opened
        from roomcheck.report import jpeg_of, on_photo
        from roomcheck.scene import scene

        plan = opened(args.job, args.plan).plan
        with doing("picture", file=args.picture) as shown:
            hung = scene(job, plan.pieces)
            drawn = on_photo(upright(file), photo.camera, face, hung, on_part=shown.part)
            write_atomically(args.picture, jpeg_of(drawn))
