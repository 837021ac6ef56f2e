"""Early reflections that colour what is heard at a seat or a microphone, surface by surface."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from roomcheck.analyse import Analysis, PositionReflections, Reflection
from roomcheck.geometry import Face
from roomcheck.job import Job, spot, tape
from roomcheck.judge.kinds import FindingKind
from roomcheck.judge.results import Finding
from roomcheck.standards import Target
from roomcheck.units import digits_against_limit

EARLY_USES = (
    "control room",
    "critical listening room",
    "voice booth",
    "podcast room",
    "home cinema",
)
"""Where early reflections colour what a microphone or a listener gets; elsewhere they help speech
(common practice)."""

DOCUMENT = "ITU-R BS.1116-3 and EBU Tech 3276, from memory"
_STANDARD = ("control room", "critical listening room")

LEVEL_U_DB = 0.5
"""Standard uncertainty of a reflection's level. [dB]"""

RIPPLE_DB = 6.0
"""Between the crests and the notches of a comb, from which it is called hollow (common practice).
[dB]"""

ALONE_DB = 12.0
"""What no wall explains must stand out by this much to be called a thing; less may be grain of the
late sound. [dB]"""

NEAR_S = 0.005
"""What no wall explains within 5 ms of the direct sound is a desk, a screen or equipment (common
practice). [s]"""


_DESK = (
    (
        "Free: clear the desk, or raise and tilt the loudspeakers so that it lies out of their "
        "way; measure again."
    ),
    "Free: move the seat or the loudspeaker by a foot and see whether the arrival moves with it.",
    "A lip of foam at the desk's edge, or a smaller desk. No wall panel helps here.",
)
_THING = (
    (
        "Free: hang a blanket before what you suspect, a cupboard, a screen, a beam, and measure "
        "again."
    ),
    "Free: move it, turn it, or open its doors.",
    "Cover what sends it. A panel on the wall does not help here.",
)


@dataclass(frozen=True, slots=True)
class Limit:
    """How loud reflections may be, when, and who says so."""

    level_db: float
    from_s: float
    to_s: float
    source: str


@dataclass(frozen=True, slots=True)
class Seen:
    """One reflection at one pair."""

    at: PositionReflections
    reflection: Reflection


def limit_for(use: str) -> Limit | None:
    """The limit for a use; None where early reflections are welcome."""
    if use not in EARLY_USES:
        return None
    if use == "voice booth":
        return Limit(-12.0, 0.001, 0.010, "common practice in voice booths")
    return Limit(
        -10.0, 0.0, 0.015, DOCUMENT if use in _STANDARD else f"common practice, after {DOCUMENT}"
    )


def early_reflections(analysis: Analysis, job: Job, target: Target) -> tuple[Finding, ...]:
    """One finding for each surface, or pair of surfaces, that sends too much too early; then what
    no wall explains."""
    limit = limit_for(target.key)
    if limit is None:
        return ()
    groups: dict[tuple[str, ...], list[Seen]] = {}
    for seen in _too_loud(analysis, limit):
        groups.setdefault(_named(seen.reflection), []).append(seen)
    singles = {faces[0] for faces in groups if len(faces) == 1}
    found = []
    for faces, group in groups.items():
        if not faces:
            found.append(_unexplained(analysis, job, group, limit))
        elif len(faces) == 1 or not singles & set(faces):
            # A corner whose walls are named already is cured with them.
            found.append(_off_surface(analysis, job, faces, group, limit))
    return tuple(found)


def _too_loud(analysis: Analysis, limit: Limit) -> Iterator[Seen]:
    for row in analysis.reflections:
        for reflection in row.reflections:
            surely = reflection.level_db - 2 * LEVEL_U_DB > limit.level_db
            alone = reflection.causes or reflection.stands_out_db >= ALONE_DB
            if surely and alone and limit.from_s <= reflection.delay_s <= limit.to_s:
                yield Seen(row, reflection)


def _named(reflection: Reflection) -> tuple[str, ...]:
    return tuple(dict.fromkeys(reflection.causes[0].faces)) if reflection.causes else ()


def comb(delay_s: float, level_db: float) -> tuple[float, float, float]:
    """First notch [Hz], spacing [Hz] and crest over notch [dB] that one reflection makes with the
    direct sound.

    >>> [round(x, 1) for x in comb(0.001, -6.0206)]
    [500.0, 1000.0, 9.5]
    """
    a = min(10 ** (level_db / 20), 0.999)
    return 0.5 / delay_s, 1 / delay_s, 20 * math.log10((1 + a) / (1 - a))


def _off_surface(
    analysis: Analysis, job: Job, faces: tuple[str, ...], group: Sequence[Seen], limit: Limit
) -> Finding:
    worst = max(group, key=lambda seen: seen.reflection.level_db)
    r = worst.reflection
    said, bound = digits_against_limit(r.level_db, limit.level_db, 0)
    name = " and ".join(faces)
    place = "; then ".join(
        spot(job.room, m.face, m.u_m, m.v_m, job.units) for m in r.causes[0].meetings
    )
    seats = seats_of(group)
    first, step, ripple = comb(r.delay_s, r.level_db)
    evidence = (
        f"{said} dB, {1000 * r.delay_s:.1f} ms after the direct sound, from {worst.at.source} to "
        f"{worst.at.microphone}, at {place}. Comb: first notch at {first:.0f} Hz, then every "
        f"{step:.0f} Hz, {ripple:.0f} dB from crest to notch."
    )
    return Finding(
        kind=FindingKind.EARLY_REFLECTION,
        title=f"Early reflection: {name}",
        sentence=f"The {_kind(job, faces)} answers so soon and so loudly that it blurs and colours the sound"
        f"{only_at(analysis, seats)}.",
        evidence=evidence + _others(group, worst),
        threshold=f"Below {bound} dB within {1000 * limit.to_s:.0f} ms, 1 to 8 kHz: {limit.source}.",
        remedies=_remedies(job, r),
        beyond_jnd=r.level_db - limit.level_db,
        sure=how_sure(analysis, group, worst),
        figure="reflections",
        seats=seats,
    )


def _unexplained(analysis: Analysis, job: Job, group: Sequence[Seen], limit: Limit) -> Finding:
    worst = max(group, key=lambda seen: seen.reflection.level_db)
    r = worst.reflection
    said, bound = digits_against_limit(r.level_db, limit.level_db, 0)
    first, step, ripple = comb(r.delay_s, r.level_db)
    near = r.delay_s <= NEAR_S
    seats = seats_of(group)
    hollow = "makes it hollow" if ripple > RIPPLE_DB else "colours it"
    return Finding(
        kind=FindingKind.HOLLOW if near else FindingKind.EARLY_OBJECT,
        title="Hollow: something near the direct path"
        if near
        else "Early reflection off something in the room",
        sentence=f"Something that is no wall throws sound back and {hollow}{only_at(analysis, seats)}: "
        + (
            "a desk, a screen or equipment." if near else "a cupboard, a screen or a beam, perhaps."
        ),
        evidence=f"{said} dB, {1000 * r.delay_s:.1f} ms after the direct sound, from {worst.at.source} to "
        f"{worst.at.microphone}: {tape(343 * r.delay_s, job.units)} of detour. Comb: first notch "
        f"at {first:.0f} Hz, "
        f"then every {step:.0f} Hz, {ripple:.0f} dB from crest to notch." + _others(group, worst),
        threshold=f"Below {bound} dB within {1000 * limit.to_s:.0f} ms, 1 to 8 kHz: {limit.source}.",
        remedies=_DESK if near else _THING,
        beyond_jnd=r.level_db - limit.level_db,
        sure="No wall, floor or ceiling of the plan explains it to second order; what it is, the eye must say.",
        figure="reflections",
        seats=seats,
    )


def _remedies(job: Job, reflection: Reflection) -> tuple[str, ...]:
    meeting = reflection.causes[0].meetings[0]
    face = job.room.face(meeting.face)
    place = spot(job.room, meeting.face, meeting.u_m, meeting.v_m, job.units)
    patch = next(
        (p for p in job.patches if p.face == face.name and p.place.holds(meeting.u_m, meeting.v_m)),
        None,
    )
    closer = "Free: bring seat and loudspeaker, or mouth and microphone, closer together: the direct sound grows."
    if face.kind == "floor":
        return (closer, f"A thick rug on the {place}; it takes the treble, not the low middle.")
    if face.kind == "ceiling":
        return (closer, f"An absorber under the {place}, 4 in deep or 2 in with air above.")
    turned = "Free: turn the loudspeaker away from that wall, or move it along the wall."
    if patch is not None and patch.opening:
        return (
            turned,
            closer,
            f"A heavy curtain or a panel on wheels before the {patch.name}: nothing hangs on it.",
        )
    return (
        turned,
        closer,
        f"An absorber 4 in deep with its middle at {place}, a foot to both sides of it: heads "
        "move.",
        "2 in on the wall does not reach down to the low middle.",
    )


def _kind(job: Job, faces: tuple[str, ...]) -> str:
    if len(faces) > 1:
        return f"corner of {' and '.join(faces)}"
    face: Face = job.room.face(faces[0])
    return f"{face.name} wall" if face.kind == "wall" and "wall" not in face.name else face.name


def seats_of(group: Sequence[Seen]) -> tuple[str, ...]:
    """Microphones of a group, each once."""
    return tuple(dict.fromkeys(seen.at.microphone for seen in group))


def only_at(analysis: Analysis, seats: Sequence[str]) -> str:
    """ ", at P2 only" where it was found at one of several seats, else nothing."""
    every = {row.microphone for row in analysis.reflections}
    return f", at {seats[0]} only" if len(seats) == 1 and len(every) > 1 else ""


def how_sure(analysis: Analysis, group: Sequence[Seen], worst: Seen) -> str:
    """In how many pairs it was seen, and what else it could be."""
    pairs = {(seen.at.source, seen.at.microphone) for seen in group}
    r = worst.reflection
    said = f"So in {len(pairs)} of {len(analysis.reflections)} pairs; the delay fits the plan to "
    said += f"{abs(1000 * r.causes[0].residual_s):.2f} ms."
    if len(r.causes) > 1:
        others = "; or ".join(
            f"{' then '.join(cause.faces)} ({1000 * cause.residual_s:+.2f} ms)"
            for cause in r.causes[1:3]
        )
        said += f" At {worst.at.microphone} it could also be {others}: too close together to tell apart there."
    return said


def _others(group: Sequence[Seen], worst: Seen) -> str:
    rest = [
        f"{seen.at.source} to {seen.at.microphone} {seen.reflection.level_db:.0f} dB"
        for seen in sorted(group, key=lambda seen: -seen.reflection.level_db)
        if seen.at is not worst.at
    ]
    return f" Also {', '.join(rest[:4])}." if rest else ""
