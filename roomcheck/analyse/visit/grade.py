"""Which grade of ISO 3382-2 the positions of a visit reach, and what the next one lacks."""

from __future__ import annotations

from collections import Counter
from itertools import combinations

from roomcheck.analyse.results import PositionDecays
from roomcheck.geometry import Point, distance_m
from roomcheck.job import Job
from roomcheck.standards import iso_3382_2_2008 as iso
from roomcheck.units import format_length


def grade(
    positions: tuple[PositionDecays, ...], job: Job, mid_s: float | None, speed_m_s: float = 343.0
) -> tuple[str, tuple[str, ...]]:
    """The grade, and a sentence for everything the next one lacks and for every position rule that
    is broken.

    Engineering and precision are not given while a rule is broken; survey is.
    """
    sources = {position.source for position in positions}
    microphones = {position.microphone for position in positions}
    pairs = {(position.source, position.microphone) for position in positions}
    broken = broken_rules(pairs, job, mid_s, speed_m_s)
    reached = "none"
    missing: tuple[str, ...] = ()
    for step in iso.GRADES:
        missing = tuple(
            f"{step.name.capitalize()} grade needs {needed} {what}; there "
            f"{'is' if have == 1 else 'are'} {have}."
            for have, needed, what in (
                (
                    len(sources),
                    step.sources,
                    "source positions" if step.sources > 1 else "source position",
                ),
                (len(microphones), step.microphones, "microphone positions"),
                (len(pairs), step.combinations, "pairs of source and microphone"),
            )
            if have < needed
        )
        if not missing and broken and step.name != "survey":
            missing = (f"{step.name.capitalize()} grade needs the position rules kept.",)
        if missing:
            break
        reached = step.name
    return reached, missing + broken


def broken_rules(
    pairs: set[tuple[str, str]], job: Job, mid_s: float | None, speed_m_s: float = 343.0
) -> tuple[str, ...]:
    """A sentence for every position that is too near to a surface, to another, or to the source.

    Half a wavelength between microphones and a quarter to a surface: what is nearer serves from a
    higher frequency on, and the sentence says from which.
    """
    places = {p.name: p.point for p in (*job.sources, *job.microphones)}
    sources, microphones = sorted({s for s, _ in pairs}), sorted({m for _, m in pairs})
    unknown = [name for name in (*sources, *microphones) if name not in places]
    said = [f"{name} has no place in the job; its distances are not checked." for name in unknown]
    mics = [(name, places[name]) for name in microphones if name in places]
    for name, place in mics:
        away = job.room.distance_to_surface_m(place)
        if away < iso.FROM_SURFACES_M - 1e-9:
            near = _short(
                f"{name} stands", away, "from the nearest surface", iso.FROM_SURFACES_M, job
            )
            said.append(near + _serves("A quarter", away, iso.FROM_SURFACES_M, 0.25, speed_m_s))
    for (a, place_a), (b, place_b) in combinations(mics, 2):
        away = distance_m(place_a, place_b)
        if away < iso.BETWEEN_MICROPHONES_M - 1e-9:
            near = _short(f"{a} and {b} stand", away, "apart", iso.BETWEEN_MICROPHONES_M, job)
            said.append(near + _serves("Half a", away, iso.BETWEEN_MICROPHONES_M, 0.5, speed_m_s))
    if mid_s is not None:
        least = iso.least_source_distance_m(job.room.volume_m3, mid_s, speed_m_s)
        said += [
            _short(f"{m} stands", distance_m(places[s], places[m]), f"from {s}", least, job)
            for s, m in sorted(pairs)
            if s in places and m in places and _near(places[s], places[m], least)
        ]
    return tuple(said)


def _serves(
    share: str, found_m: float, needed_m: float, wavelengths: float, speed_m_s: float
) -> str:
    asked = (
        f" {share} wavelength is that long at "
        f"{iso.lowest_hz(needed_m, wavelengths, speed_m_s):.0f} Hz"
    )
    if found_m <= 0:
        return asked + "."
    return (
        f"{asked}; as it is, the position serves from "
        f"{iso.lowest_hz(found_m, wavelengths, speed_m_s):.0f} Hz on."
    )


def _near(a: Point, b: Point, least_m: float) -> bool:
    return distance_m(a, b) < least_m - 1e-9


def _short(who: str, found_m: float, what: str, needed_m: float, job: Job) -> str:
    found, needed = format_length(found_m, job.units), format_length(needed_m, job.units)
    return f"{who} {found} {what}; ISO 3382-2 asks for {needed}."


def source_notes(positions: tuple[PositionDecays, ...]) -> tuple[str, ...]:
    """What the loudspeaker's direction does to the numbers, and whether several directions were
    averaged.

    Takes of one source and microphone count as directions of that source: the loudspeaker is turned
    between them.
    """
    if not positions:
        return ()
    takes = Counter((position.source, position.microphone) for position in positions)
    least = min(takes.values())
    sources = len({source for source, _ in takes})
    if least >= 3:
        averaged = (
            f"Every pair is the average of {least} takes or more; turned between them, they stand "
            "for directions."
        )
    elif sources > 1:
        averaged = f"The average over {sources} source positions evens out part of that."
    else:
        averaged = (
            "One direction from one place: turn the loudspeaker by 120 degrees twice at the "
            "same place and record each time, or add a source position; takes of one pair are "
            "averaged."
        )
    return (
        "A loudspeaker is not the source that sends alike in all directions which ISO 3382-1 "
        "asks for. EDT, clarity, definition, centre time and the levels of reflections lean "
        f"towards where it faces, more so above 1 kHz; T20 and T30 hardly. {averaged}",
    )
