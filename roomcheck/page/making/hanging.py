"""One wall at a time, for who stands on the ladder: marks, cleat, studs, screws, cautions at their
step; what was found behind the wall; photographs."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact
from roomcheck.geometry import Face, Rectangle
from roomcheck.job import (
    Done,
    Found,
    Job,
    Placement,
    Tick,
    load_job,
    note_found,
    set_tick,
    take_back_found,
)
from roomcheck.measure import kept_photos
from roomcheck.page.making.shop import stamped
from roomcheck.report import wall_sketch
from roomcheck.words import Reader, found_text, say, sentences, size, weight
from roomcheck.workshop import BuildSheet, FaceFixing, HangingCaution, HangingLine

AT_THE_MARK = (
    HangingCaution.NOTHING_ALLOWED,
    HangingCaution.MOVED,
    HangingCaution.TOO_HIGH,
    HangingCaution.STANDS_OUT,
)
AT_THE_LIFT = (HangingCaution.TWO_PEOPLE, HangingCaution.LITTLE_PLAY)
"""Cautions of marking and of lifting; all others are read before anything is drilled."""

FOUND = {
    "stud": "a stud, its middle",
    "no stud": "no stud where the mark is",
    "cable": "a cable",
    "pipe": "a pipe",
    "metal": "metal",
    "doubt": "something, I don't know what",
}
"""What can be found, in the order in which it is offered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure to be read from the ladder."""

    what: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StudLine:
    """One stud behind a piece."""

    value: str
    """From the wall's left corner, as read."""
    typed: str
    """The same as it is typed."""
    found: bool
    """Whether somebody found it there; else it stands there by spacing alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HangPiece:
    """One piece and what is done at the wall for it, step by step."""

    name: str
    piece: str
    refused: tuple[str, ...]
    marks: tuple[Figure, ...]
    mark_cautions: tuple[str, ...]
    cleat: tuple[Figure, ...]
    studs: tuple[StudLine, ...]
    screws: str
    drill_cautions: tuple[str, ...]
    lift: tuple[Figure, ...]
    lift_cautions: tuple[str, ...]
    item: str
    """What its ticks stand for: the piece at this very place."""
    cleat_tick: Tick | None
    hung_tick: Tick | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundLine:
    """One finding, in words."""

    number: int
    words: str
    danger: bool
    """Whether it keeps everybody from drilling."""
    taken_back: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WallTab:
    """One face that carries a piece, with how many of its pieces hang."""

    name: str
    hung: int
    of: int


@dataclass(frozen=True, slots=True, kw_only=True)
class HangingPage:
    """One wall."""

    walls: tuple[WallTab, ...]
    face: str
    kind: str
    """"wall", "ceiling" or "floor"."""
    drawing: str
    pieces: tuple[HangPiece, ...]
    found: tuple[FoundLine, ...]
    order: tuple[str, ...]
    """Order of work on site."""
    photos: tuple[str, ...]
    """Files of photographs of this wall."""


def hanging_page(job: Job, sheet: BuildSheet, done: Done, face: str = "") -> HangingPage | None:
    """The page of one wall; None where nothing hangs.

    Parameters
    ----------
    face : str
        Its name; the first one with a piece that does not hang yet where it names none.
    """
    walls = _walls(job, sheet, done)
    if not walls:
        return None
    names = [wall.name for wall in walls]
    unhung = (wall.name for wall in walls if wall.hung < wall.of)
    chosen = job.room.face(face if face in names else next(unhung, names[0]))
    lines = _on(sheet, chosen)
    return HangingPage(
        walls=walls,
        face=chosen.name,
        kind=chosen.kind,
        drawing=wall_sketch(job, chosen, pieces=[_placed(line) for line in lines]),
        pieces=tuple(_piece(job, chosen, line, done) for line in lines),
        found=_found(job, chosen.name),
        order=sentences(sheet.order, Reader("contractor", job.units)),
        photos=photos_of(job, chosen.name),
    )


def _walls(job: Job, sheet: BuildSheet, done: Done) -> tuple[WallTab, ...]:
    walls = []
    for face in job.room.faces:
        lines = _on(sheet, face)
        if lines:
            hung = sum(done.has("hung", item_of(line)) for line in lines)
            walls.append(WallTab(name=face.name, hung=hung, of=len(lines)))
    return tuple(walls)


def _on(sheet: BuildSheet, face: Face) -> list[HangingLine]:
    """Lines of a face, from the left."""
    lines = [line for line in sheet.hanging if line.face == face.name]
    return sorted(lines, key=lambda line: (line.left_m, line.top_m))


def item_of(line: HangingLine) -> str:
    """A piece at its very place: where it moves, its ticks no longer hold."""
    cleat = "" if line.cleat_m is None else f", cleat {1000 * line.cleat_m:.1f}"
    return f"{line.name}, {line.face}, {1000 * line.left_m:.1f}, {1000 * line.top_m:.1f}{cleat}"


def hung_of(sheet: BuildSheet, done: Done) -> tuple[int, int]:
    """How many pieces hang, and how many shall."""
    hung = sum(done.has("hung", item_of(line)) for line in sheet.hanging)
    return hung, len(sheet.hanging)


def _placed(line: HangingLine) -> Placement:
    bottom_m = line.top_m - line.height_m
    place = Rectangle(line.left_m, bottom_m, line.width_m, line.height_m)
    return Placement(name=line.name, piece=line.piece, face=line.face, place=place)


def _piece(job: Job, face: Face, line: HangingLine, done: Done) -> HangPiece:
    reader = Reader("contractor", job.units)
    item = item_of(line)
    others = [c for c in line.cautions if c.kind not in (*AT_THE_MARK, *AT_THE_LIFT)]
    return HangPiece(
        name=line.name,
        piece=line.piece,
        refused=sentences(line.refused, reader),
        marks=_marks(job, face, line),
        mark_cautions=_those(line.cautions, AT_THE_MARK, reader),
        cleat=_cleat(job, line),
        studs=_studs(job, line),
        screws=_screws(job, line),
        drill_cautions=sentences(others, reader),
        lift=_lift(job, line),
        lift_cautions=_those(line.cautions, AT_THE_LIFT, reader),
        item=item,
        cleat_tick=done.tick("cleat", item),
        hung_tick=done.tick("hung", item),
    )


def _those(
    cautions: Sequence[Fact[HangingCaution]], kinds: Sequence[HangingCaution], reader: Reader
) -> tuple[str, ...]:
    return sentences([c for c in cautions if c.kind in kinds], reader)


def _marks(job: Job, face: Face, line: HangingLine) -> tuple[Figure, ...]:
    """Where its edges come: from the left corner and from the floor; on a ceiling along and
    across the plan."""
    if face.kind != "wall":
        names = ("near edge, across the plan", "far edge, across the plan")
        return (
            Figure(what="left edge, along the plan", value=size(line.left_m, job)),
            Figure(what=names[0], value=size(line.top_m - line.height_m, job)),
            Figure(what=names[1], value=size(line.top_m, job)),
        )
    marks = [
        Figure(what="left edge, from the LEFT corner", value=size(line.left_m, job)),
        Figure(what="top edge, above the FLOOR", value=size(line.top_m, job)),
    ]
    if line.beside and line.beside_left_m is not None:
        what = f"its other edge, on {line.beside}, from that wall's LEFT corner"
        marks.append(Figure(what=what, value=size(line.beside_left_m, job)))
    elif line.right_m is not None:
        what = "to check: right edge, from the RIGHT corner"
        marks.append(Figure(what=what, value=size(line.right_m, job)))
    return tuple(marks)


def _cleat(job: Job, line: HangingLine) -> tuple[Figure, ...]:
    if line.rail is not None:
        rail, which = line.rail, f"rail {line.rail.name} with {', '.join(line.rail.names)}"
        return (
            Figure(what=f"{which}: bottom line, above the FLOOR", value=size(rail.at_m, job)),
            Figure(what="rail's left end, from the LEFT corner", value=size(rail.left_m, job)),
            Figure(what="rail's length", value=size(rail.length_m, job)),
        )
    if line.cleat_m is None or line.cleat_left_m is None or line.cleat_length_m is None:
        return ()
    return (
        Figure(what="cleat's bottom line, above the FLOOR", value=size(line.cleat_m, job)),
        Figure(what="cleat's left end, from the LEFT corner", value=size(line.cleat_left_m, job)),
        Figure(what="cleat's length", value=size(line.cleat_length_m, job)),
    )


def _studs(job: Job, line: HangingLine) -> tuple[StudLine, ...]:
    framing = job.framing_of(line.face)
    known = () if framing is None else framing.found_m
    return tuple(
        StudLine(value=size(at_m, job), typed=f"{1000 * at_m:.1f} mm", found=at_m in known)
        for at_m in line.studs_m
    )


def _screws(job: Job, line: HangingLine) -> str:
    if line.screws and line.screw_m is not None:
        depth = "" if line.into_wood_m is None else f", {size(line.into_wood_m, job)} into the stud"
        return (
            f"{line.screws} × {line.screw} × {size(line.screw_m, job)}, "
            f"{line.per_stud} in each stud{depth}"
        )
    if line.fixing is not None and line.fixings:
        return f"{line.fixings} × {say('fixing_' + line.fixing)}"
    if line.rail is not None:
        return say("screws_of_rail", name=line.rail.names[0])
    return "; ".join(_strip(job, strip) for strip in line.strips)


def _strip(job: Job, strip: FaceFixing) -> str:
    """What fixes the strip of a corner piece on one wall."""
    with_what = say(f"fixing_{strip.fixing}")
    if strip.screw_m is not None:
        with_what = f"{strip.screw} × {size(strip.screw_m, job)}"
    return f"{strip.face}: {strip.count} × {with_what}"


def _lift(job: Job, line: HangingLine) -> tuple[Figure, ...]:
    figures = [
        Figure(what="weight", value=weight(line.weight_kg, job)),
        Figure(what="people", value=str(line.people)),
    ]
    if line.hook_m is not None:
        what = "from its top down to the cleat's line: measure it on the piece"
        figures.append(Figure(what=what, value=size(line.hook_m, job)))
    if line.freedom_m is not None:
        figures.append(Figure(what="may slide to either side", value=size(line.freedom_m, job)))
    return tuple(figures)


def _found(job: Job, face: str) -> tuple[FoundLine, ...]:
    reader = Reader("contractor", job.units)
    dangers = {one.number for one in job.dangers_of(face)}
    return tuple(
        FoundLine(
            number=one.number,
            words=found_text(one, reader),
            danger=one.number in dangers,
            taken_back=one.taken_back,
        )
        for one in job.found
        if one.face == face
    )


def photos_of(job: Job, face: str) -> tuple[str, ...]:
    """File names of the photographs of a face; none where one's marks cannot be read."""
    with contextlib.suppress(RoomcheckError):
        return tuple(photo.file.name for photo in kept_photos(job) if photo.face == face)
    return ()


# --- what a form does

Form = Mapping[str, str]


def tick(folder: Path, form: Form, by: str, now: datetime) -> None:
    """Tick that a cleat is on or a piece hangs, where nothing forbids a hole."""
    name, on = form.get("list", ""), form.get("on") == "1"
    if name not in ("cleat", "hung"):
        raise RoomcheckError("on this page cleats and pieces are ticked")
    set_tick(folder, name, form.get("item", ""), on=on, by=by, when=stamped(now))


def find(folder: Path, form: Form, by: str, now: datetime) -> str:
    """Keep what was found behind a wall; what it means."""
    job = load_job(folder)
    found = note_found(
        folder,
        job.room,
        face=form.get("face", ""),
        what=form.get("what", ""),
        left=form.get("left", ""),
        piece=form.get("piece", ""),
        by=by,
        when=stamped(now),
        note=form.get("note", ""),
    )
    return sentence_of(job, found)


def clear(folder: Path, form: Form, by: str, now: datetime) -> str:
    """Keep that who is licensed has looked, and what they say."""
    job = load_job(folder)
    number = form.get("of", "")
    found = note_found(
        folder,
        job.room,
        face=form.get("face", ""),
        what="cleared",
        of=int(number) if number.isascii() and number.isdecimal() else None,
        by=by,
        when=stamped(now),
        note=form.get("note", ""),
    )
    return sentence_of(job, found)


def sentence_of(job: Job, found: Found) -> str:
    """A finding in words, once it is kept."""
    return f"Kept: {found_text(replace(found, by='', when=''), Reader('contractor', job.units))}."


def take_back(folder: Path, form: Form) -> None:
    """Mark a finding as typed by mistake, or put it back in force."""
    number = form.get("number", "")
    if not (number.isascii() and number.isdecimal()):
        raise RoomcheckError("which finding? Choose it first")
    take_back_found(folder, int(number), back=form.get("back") != "0")
