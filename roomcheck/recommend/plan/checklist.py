"""What a person has to look at on the drawn plan: warnings, never approvals.

Worked out from the drawn rectangles alone, so that it also sees what a person pinned.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import ceil

from roomcheck.geometry import Face, Rectangle
from roomcheck.job import Job, KeepClear, Placement
from roomcheck.recommend.places.clear import LEADING_M, PROJECTS_M, TINY_M, refused
from roomcheck.recommend.results import Check
from roomcheck.units import format_length

ITEM_KG, PER_AREA_KG_M2, STUD_KG = 34.0, 24.4, 22.7
"""From which an engineer has to say yes: 75 lb an item, 5 lb a square foot of wall (common
practice); and from which one stud's share is named: 50 lb. [kg] [kg/m2] [kg]"""

CLOUD_M = 1.22
"""A cloud wider than 4 ft is generally taken as an obstruction that needs sprinklers below it
(common practice). [m]"""

SUBJECTS = {
    "sprinklers and detectors": ("sprinkler", "smoke detector", "heat detector", "alarm"),
    "vents": ("supply vent", "return vent"),
    "heaters and lights": ("radiator", "heater", "light"),
    "doors and windows": ("door swing", "exit sign", "hatch"),
    "outlets and switches": ("outlet", "switch", "thermostat", "electrical panel"),
    "what stays in sight": ("whiteboard", "screen", "picture", "shelf", "furniture", "other"),
}

USUAL_M = {
    "sprinkler": 0.457,
    "smoke detector": 0.914,
    "heat detector": 0.914,
    "alarm": 0.914,
    "supply vent": 0.305,
    "return vent": 0.152,
    "radiator": 0.152,
    "heater": 0.152,
    "light": 0.076,
    "electrical panel": 0.457,
}
"""Distances to a piece below which it is named even where the job asks for less (common practice).
[m]"""

LAST = "local code and the authority decide"


def checks(job: Job, pieces: Sequence[Placement]) -> tuple[Check, ...]:
    """Everything on a drawn plan that asks for a second look.

    Parameters
    ----------
    job : Job
    pieces : sequence of Placement

    Returns
    -------
    tuple of Check
        By subject, in the order in which people walk round a room; empty where nothing hangs.
    """
    if not pieces:
        return ()
    found = (_egress(job, pieces), _zones(job, pieces), _openings(job, pieces), _rules(job, pieces))
    more = (
        _weights(job, pieces),
        _overhead(job, pieces),
        _papers(job, pieces),
        _unknown(job, pieces),
    )
    return tuple(check for group in (*found, *more) for check in group)


def _egress(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    walks = any(z.kind == "walkway" for z in job.keep_clear)
    deep = [
        p
        for p in pieces
        if _leads(job, p) and job.shop.piece(p.piece).depth_m > PROJECTS_M + TINY_M
    ]
    if deep and not walks:
        most = max(job.shop.piece(p.piece).depth_m for p in deep)
        yield Check(
            subject="egress and projection",
            text=f"These stand out up to {format_length(most, job.units)} from the wall with an edge between 27 and 80 "
            "in above the floor; where people walk past, 4 in is the most (2010 ADA Standards "
            f"307.2). The job draws no walkway: is there one? {LAST.capitalize()}.",
            pieces=tuple(p.name for p in deep),
        )
    swings = any(z.kind == "door swing" for z in job.keep_clear)
    doors = [p.name for p in job.patches if p.opening and p.place.v_m < 0.05]
    if doors and not swings:
        yield Check(
            subject="doors and windows",
            text=f"No door swing is drawn: does the {' or the '.join(doors)} open into the room, and against what?",
        )


def _leads(job: Job, placed: Placement) -> bool:
    return (
        job.room.face(placed.face).kind == "wall"
        and LEADING_M[0] < placed.place.v_m <= LEADING_M[1]
    )


def _zones(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    for zone in job.keep_clear:
        near = []
        for placed in pieces:
            apart = _apart(job, placed, zone)
            if (
                apart is not None
                and apart < max(zone.clearance_m, USUAL_M.get(zone.kind, 0.0)) - 1e-3
            ):
                near.append((apart, placed.name))
        if near:
            subject = next(
                (s for s, kinds in SUBJECTS.items() if zone.kind in kinds), "what stays in sight"
            )
            least = format_length(min(near)[0], job.units)
            yield Check(
                subject=subject,
                text=f"{zone.name}: the nearest piece is {least} away; {LAST}.",
                pieces=tuple(name for _, name in sorted(near)),
            )


def _apart(job: Job, placed: Placement, zone: KeepClear) -> float | None:
    """Distance between the outlines of a piece and a thing on the same face, 0 where they overlap.
    [m]"""
    if placed.face != zone.face:
        return None
    return _between(placed.place, zone.place)


def _between(a: Rectangle, b: Rectangle) -> float:
    beside = max(a.u_m - b.right_m, b.u_m - a.right_m, 0.0)
    over = max(a.v_m - b.top_m, b.v_m - a.top_m, 0.0)
    return float((beside**2 + over**2) ** 0.5)


def _openings(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    for patch in (p for p in job.patches if p.opening):
        over = [
            p.name
            for p in pieces
            if p.face == patch.face and p.place.overlap_m2(patch.place) > TINY_M
        ]
        if over:
            subject = "doors and windows"
            text = f"Hangs over the {patch.name}: a way out and a window are never covered."
            yield Check(subject=subject, text=text, pieces=tuple(over))


def _rules(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    """What a person pinned against the planner's own rules."""
    for placed in pieces:
        why = refused(job, job.shop.piece(placed.piece), job.room.face(placed.face), placed.place)
        if why:
            yield Check(
                subject="egress and projection", text=f"It is {why}.", pieces=(placed.name,)
            )


def _weights(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    for placed in pieces:
        piece = job.shop.piece(placed.piece)
        if piece.weight_kg > ITEM_KG:
            text = f"Weighs {piece.weight_kg:.0f} kg ({piece.weight_kg / 0.45359237:.0f} lb): a licensed engineer first."
            yield Check(subject="weight", text=text, pieces=(placed.name,))
    for face in (f for f in job.room.faces if f.kind == "wall"):
        yield from _wall_weight(job, face, [p for p in pieces if p.face == face.name])


def _wall_weight(job: Job, face: Face, here: Sequence[Placement]) -> Iterable[Check]:
    weight = sum(job.shop.piece(p.piece).weight_kg for p in here)
    if weight / face.area_m2 > PER_AREA_KG_M2:
        text = f"Everything on the {face.name} weighs {weight / face.area_m2:.0f} kg per m²: a licensed engineer first."
        yield Check(subject="weight", text=text, pieces=tuple(p.name for p in here))
    framing = job.framing_of(face.name)
    if framing is None or framing.spacing_m is None or framing.first_m is None:
        return
    loads: dict[int, tuple[float, list[str]]] = {}
    for placed in here:
        piece = job.shop.piece(placed.piece)
        if piece.kind == "corner":
            continue
        first = max(ceil((placed.place.u_m - framing.first_m) / framing.spacing_m - 1e-9), 0)
        last = int((placed.place.right_m - framing.first_m) / framing.spacing_m + 1e-9)
        studs = range(first, last + 1)
        for stud in studs:
            load, names = loads.get(stud, (0.0, []))
            loads[stud] = (load + piece.weight_kg / len(studs), [*names, placed.name])
    worst = max(loads, key=lambda stud: loads[stud][0], default=None)
    if worst is not None and loads[worst][0] > STUD_KG:
        load, names = loads[worst]
        at = format_length(framing.first_m + worst * framing.spacing_m, job.units)
        text = f"The stud at {at} of the {face.name} carries about {load:.0f} kg ({load / 0.45359237:.0f} lb) of them."
        yield Check(subject="weight", text=f"{text} No load is approved here.", pieces=tuple(names))


def _overhead(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    above = [p for p in pieces if job.room.face(p.face).kind == "ceiling"]
    if not above:
        return
    grid = job.fixing_of("ceiling") == "grid"
    how = (
        "wires run through the grid to the structure above, never to the grid"
        if grid
        else "each point into a joist"
    )
    yield Check(
        subject="overhead",
        text=f"Hangs over heads: {how}; two independent fixings; local code and licensed practice accept it, not we.",
        pieces=tuple(p.name for p in above),
    )
    wide = [p.name for p in above if min(p.place.width_m, p.place.height_m) > CLOUD_M + 1e-3]
    heads = [z.name for z in job.keep_clear if z.kind == "sprinkler"]
    if wide and heads:
        text = "Wider than 4 ft under a sprinklered ceiling: generally taken as an obstruction; ask the fire authority."
        yield Check(subject="sprinklers and detectors", text=text, pieces=tuple(wide))


def _papers(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    bare: dict[str, list[str]] = {}
    for placed in pieces:
        if not job.shop.piece(placed.piece).fire_papers:
            bare.setdefault(placed.piece, []).append(placed.name)
    if bare:
        listed = ", ".join(bare)
        yield Check(
            subject="fire papers",
            text=f"No fire papers in shop.toml for {listed}: fabric, core, frame and the piece as built may each need "
            "their own; the fire authority decides which, and how much of a wall may be covered.",
            pieces=tuple(name for names in bare.values() for name in names),
        )


def _unknown(job: Job, pieces: Sequence[Placement]) -> Iterable[Check]:
    used = {p.face for p in pieces}
    walls = [f.name for f in job.room.faces if f.name in used and job.framing_of(f.name) is None]
    if walls and not (walls == ["ceiling"] and job.fixing_of("ceiling") == "grid"):
        text = f"Nobody has found the studs or joists of the {', '.join(walls)} yet: weights there are not checked."
        yield Check(subject="weight", text=text)
    told = {z.kind for z in job.keep_clear}
    missing = [s for s, kinds in SUBJECTS.items() if s in _ASKED and not told & set(kinds)]
    if missing:
        text = f"The job names none of these: {'; '.join(missing)}. Look once more before drilling."
        yield Check(subject="not noted", text=text)


_ASKED = ("sprinklers and detectors", "vents", "outlets and switches")
