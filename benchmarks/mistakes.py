"""Is a room that was typed wrongly noticed, and is the right cause named? Traced rooms again.

    python benchmarks/mistakes.py 140 --truths rooms.json --openings openings.json --journal m.json

The rooms of `ranges.py`, typed with one mistake: another material of the table on one wall, on all
walls, on the floor or the ceiling, or a door or window that stood open and was forgotten (the
"before" is traced again with a patch that takes all). A mistake counts where it moves two octaves
by twice the doubt that tables, model and measurement leave about them; of those that a room allows
one is drawn. Printed: how many are called unexplained (and, of the same rooms typed rightly, how
many are accused), and how often the cause named, or one of the two called possible, is the right
one: the surface that was typed wrongly, or an opening.
"""

from __future__ import annotations

import argparse
import dataclasses
import json
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ranges import (
    BANDS_HZ,
    EARLY_SD,
    Drawn,
    Known,
    Truths,
    drawn_room,
    known_of,
    measured,
    traced_pairs,
    visit_of,
)
from room_truth import Cover, TrueRoom
from roomcheck.facts import Fact
from roomcheck.geometry import Rectangle
from roomcheck.job import Job
from roomcheck.materials import MATERIALS, absorption_of
from roomcheck.predict import Statistics, predict
from roomcheck.predict.reasons import PredictionNote

Real = NDArray[np.float64]

DOUBTS, OCTAVES = 2.0, 2
"""A mistake counts where it moves so many octaves by so many prior standard deviations."""
DOOR_M = ((0.7, 1.0), (1.9, 2.1))
"""Width and height of an opening that is forgotten, from and to. [m]"""


@dataclass(frozen=True, kw_only=True)
class Mistake:
    """How a room is typed instead, and what is right."""

    kind: str
    job: Job
    """As typed."""
    typed: str | None
    """Title of the material that is not there; None where an opening was forgotten."""
    true: str | None
    """Title of the one that is."""


@dataclass(frozen=True, kw_only=True)
class Noticed:
    """What became of one mistake."""

    kind: str
    accused: bool
    alone: bool
    """Whether one cause alone was named."""
    said: bool
    """Whether any cause was named."""
    right: bool
    """Whether the surface, or an opening, was among those named."""
    exact: bool
    """Whether the material was too."""


# --------------------------------------------------------------------------------------- mistakes


def kinds_of(job: Job) -> list[tuple[str, tuple[str, ...]]]:
    """Faces that are typed wrongly together."""
    walls = [face.name for face in job.room.faces if face.kind == "wall"]
    rest = [(face.kind, (face.name,)) for face in job.room.faces if face.kind != "wall"]
    return [*[("one wall", (wall,)) for wall in walls], ("all walls", tuple(walls)), *rest]


def retyped(job: Job) -> Iterator[Mistake]:
    """Every other material on every choice of faces."""
    typed = dict(job.materials)
    for kind, faces in kinds_of(job):
        true = typed[faces[0]]
        for other in MATERIALS.values():
            if other.per_piece or other.key == true:
                continue
            materials = tuple((f, other.key if f in faces else key) for f, key in job.materials)
            yield Mistake(
                kind=kind,
                job=dataclasses.replace(job, materials=materials),
                typed=other.title,
                true=absorption_of(true).title,
            )


def counts(right: Statistics, doubt: Real, job: Job, wrong: Job) -> bool:
    """Whether a mistake moves enough octaves by enough, by the areas alone."""
    areas = {face.name: face.area_m2 for face in job.room.faces}
    added_m2 = np.zeros(len(right.bands_hz))
    for (face, typed), (_, true) in zip(wrong.materials, job.materials, strict=True):
        if typed != true:
            added_m2 += areas[face] * (_values(typed, right) - _values(true, right))
    return moves(right, doubt, added_m2)


def moves(right: Statistics, doubt: Real, added_m2: Real) -> bool:
    """Whether so much more or less absorption moves enough octaves. `doubt` (bands,) [log]"""
    bare = right.after_s(np.zeros(len(right.bands_hz)))
    with np.errstate(invalid="ignore", divide="ignore"):
        moved = np.abs(np.log(right.after_s(added_m2) / bare))
    return int(np.sum(moved >= DOUBTS * doubt)) >= OCTAVES


def _values(key: str, right: Statistics) -> Real:
    row = absorption_of(key)
    values = [row.at(hz) for hz in right.bands_hz]
    return np.array([np.nan if v is None else v for v in values])


def doubt_of(job: Job, right: Statistics) -> Real:
    """What tables and model leave open before anything is measured, one standard deviation.
    (bands,) [log]; NaN where nothing is predicted, and in octaves that no room here has."""
    told = predict(job, (), None, simulate=False, room=right).before
    doubt = np.full(len(told), np.nan)
    for i, band in enumerate(told):
        if band.low_s is not None and band.high_s is not None and band.band_hz in BANDS_HZ:
            doubt[i] = np.log(band.high_s / band.low_s) / (2 * 1.645)
    return doubt


def drawn_mistake(job: Job, rng: Any) -> Mistake | None:
    """One of those that count, every kind as likely as the next; None where there is none."""
    right = Statistics.of(job, None)
    doubt = doubt_of(job, right)
    by_kind: dict[str, list[Mistake]] = {}
    for mistake in retyped(job):
        if counts(right, doubt, job, mistake.job):
            by_kind.setdefault(mistake.kind, []).append(mistake)
    if not by_kind:
        return None
    among = by_kind[str(rng.choice(sorted(by_kind)))]
    return among[int(rng.integers(len(among)))]


def opened(drawn: Drawn, rng: Any) -> tuple[TrueRoom, float] | None:
    """The bare room with a door that stands open on one wall, and its area; None where the longest
    wall is too small. [m2]"""
    width, height = (float(rng.uniform(*ends)) for ends in DOOR_M)
    walls = [f for f in drawn.job.room.faces if f.kind == "wall" and f.width_m > width + 0.4]
    if not walls:
        return None
    wall = walls[int(rng.integers(len(walls)))]
    place = Rectangle(float(rng.uniform(0.1, wall.width_m - width - 0.1)), 0.0, width, height)
    hole = Cover(face=wall.name, place=place, alpha=np.ones(len(BANDS_HZ)))
    now = dataclasses.replace(drawn.now, covers=(*drawn.now.covers, hole))
    return now, place.area_m2


# ------------------------------------------------------------------------------------------ notice


def notes_of(job: Job, known: Known) -> tuple[Fact[PredictionNote], ...]:
    """What is said of a room typed so, and measured as it is known."""
    return Statistics.of(job, visit_of(job, known.before_s, known.early_s)).notes


def is_accused(notes: Sequence[Fact[PredictionNote]]) -> bool:
    return any(note.kind == PredictionNote.UNEXPLAINED for note in notes)


def noticed(mistake: Mistake, known: Known) -> Noticed:
    """Hold a room that is typed wrongly against what was measured."""
    notes = notes_of(mistake.job, known)
    causes = [n for n in notes if n.kind in (PredictionNote.OPENING, PredictionNote.OTHER_MATERIAL)]
    if mistake.typed is None:
        right = [n for n in causes if n.kind == PredictionNote.OPENING]
    else:
        right = [n for n in causes if n.get("typed") == mistake.typed]
    exact = [n for n in right if n.get("material") == mistake.true]
    return Noticed(
        kind=mistake.kind,
        accused=is_accused(notes),
        alone=len(causes) == 1,
        said=bool(causes),
        right=bool(right),
        exact=bool(exact),
    )


class Openings:
    """Decays of rooms whose door stood open, traced once and kept."""

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self.kept: dict[str, list[list[list[float]]]] = {}
        if path is not None and path.exists():
            self.kept = json.loads(path.read_text())

    def known(self, seed: int, now: TrueRoom, drawn: Drawn) -> Known:
        """What such a room measures; of its "after" nothing is known."""
        if str(seed) not in self.kept:
            found = traced_pairs(now, drawn.job, np.random.default_rng([seed, 22]))
            both = found.decays_s, found.early_s
            self.kept[str(seed)] = [each.round(5).tolist() for each in both]
            if self.path is not None:
                self.path.write_text(json.dumps(self.kept))
        decays, early = (np.array(each) for each in self.kept[str(seed)])
        rng = np.random.default_rng([seed, 23])
        before_s = measured(decays, rng)
        return known_of(drawn, before_s, measured(early, rng, EARLY_SD), before_s)


def of_room(seed: int, truths: Truths, openings: Openings | None) -> tuple[bool, list[Noticed]]:
    """Whether a room typed rightly is accused, and what becomes of its mistakes."""
    known, drawn = truths.room(seed), drawn_room(seed)
    rng = np.random.default_rng([seed, 21])
    right = is_accused(notes_of(known.job, known))
    found = []
    mistake = drawn_mistake(known.job, rng)
    if mistake is not None:
        found.append(noticed(mistake, known))
    hole = opened(drawn, rng) if openings is not None else None
    if hole is not None and openings is not None:
        room = Statistics.of(known.job, None)
        if moves(room, doubt_of(known.job, room), np.full(len(room.bands_hz), hole[1])):
            forgotten = Mistake(kind="opening", job=known.job, typed=None, true=None)
            found.append(noticed(forgotten, openings.known(seed, hole[0], drawn)))
    return right, found


# ------------------------------------------------------------------------------------------- table


def shares(found: Sequence[Noticed]) -> str:
    """One line: how many, noticed, with a cause, right, right alone."""
    seen = [each for each in found if each.accused]
    said = [each for each in seen if each.said]
    alone = [each for each in said if each.alone]
    return (
        f"{len(found):3d} mistakes, noticed {_share(len(seen), len(found))}; "
        f"a cause named {_share(len(said), len(seen))}, "
        f"the right surface or opening among them {_share(sum(e.right for e in said), len(said))}, "
        f"its material too {_share(sum(e.exact for e in said), len(said))}; "
        f"one alone {_share(len(alone), len(said))}, right "
        f"{_share(sum(e.right for e in alone), len(alone))}"
    )


def _share(part: int, of: int) -> str:
    return f"{part} of {of} ({part / of:.0%})" if of else "none"


@dataclass(frozen=True, kw_only=True)
class Journal:
    """What came out of the rooms so far: for each, whether it is accused typed rightly, and its
    mistakes. Kept, so that a run that is stopped goes on where it was."""

    path: Path | None
    rooms: dict[str, dict[str, Any]]

    @classmethod
    def read(cls, path: Path | None) -> Journal:
        known = path is not None and path.is_file()
        return cls(path=path, rooms=json.loads(path.read_text()) if known and path else {})

    def add(self, seed: int, accused: bool, found: Sequence[Noticed]) -> None:
        told = [dataclasses.asdict(each) for each in found]
        self.rooms[str(seed)] = {"accused": accused, "mistakes": told}
        if self.path is not None:
            self.path.write_text(json.dumps(self.rooms, indent=1))

    @property
    def accused(self) -> int:
        """Rooms that are accused though typed rightly."""
        return sum(bool(room["accused"]) for room in self.rooms.values())

    @property
    def mistakes(self) -> list[Noticed]:
        return [Noticed(**each) for room in self.rooms.values() for each in room["mistakes"]]


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("rooms", type=int, nargs="?", default=40)
    parser.add_argument("--from", dest="first", type=int, default=0, help="first seed")
    parser.add_argument("--truths", type=Path, metavar="JSON", help="traced rooms, kept")
    parser.add_argument("--openings", type=Path, metavar="JSON", help="the same with a door open")
    parser.add_argument("--journal", type=Path, metavar="JSON", help="results, kept")
    parser.add_argument("--minutes", type=float, default=15.0)
    args = parser.parse_args()
    truths = Truths(args.truths)
    openings = Openings(args.openings) if args.openings else None
    journal, began = Journal.read(args.journal), time.monotonic()
    for seed in range(args.first, args.first + args.rooms):
        if time.monotonic() - began > 60 * args.minutes:
            break
        if str(seed) not in journal.rooms:
            journal.add(seed, *of_room(seed, truths, openings))
    print(f"typed rightly: accused {_share(journal.accused, len(journal.rooms))}")
    print(f"typed wrongly: {shares(journal.mistakes)}")
    for kind in sorted({each.kind for each in journal.mistakes}):
        print(f"{kind:>12}: {shares([e for e in journal.mistakes if e.kind == kind])}")


if __name__ == "__main__":
    main()
