"""Early reflections that colour what is heard at a seat or a microphone, surface by surface."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from roomcheck.analyse import Analysis, EchoReason, PositionReflections, Reflection
from roomcheck.facts import Fact, fact
from roomcheck.job import Job, Place, place_of
from roomcheck.judge.kinds import Certainty, FindingKind, LimitSource, Remedy
from roomcheck.judge.limits.audible import JND_DB
from roomcheck.judge.results import Finding
from roomcheck.standards import Target

BS_1116_USES = ("control room", "critical listening room")
EARLY_USES = (*BS_1116_USES, "voice booth", "podcast room", "home cinema")
"""Where early reflections colour what a microphone or a listener gets; elsewhere they help speech
(common practice)."""

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

MOST_OTHERS = 4
"""Further pairs that a finding names."""

MOST_ALSO = 2
"""Further surfaces that may explain an arrival, as a finding names them."""

_PLACES_DOUBTED = (EchoReason.FEW_CAME, EchoReason.PLAN_MISFIT, EchoReason.MOVED)

_DESK = (Remedy.CLEAR_THE_DESK, Remedy.MOVE_A_FOOT, Remedy.FOAM_AT_EDGE)
_THING = (Remedy.BLANKET_BEFORE_SUSPECT, Remedy.TURN_THE_THING, Remedy.COVER_THE_THING)


@dataclass(frozen=True, slots=True)
class Limit:
    """How loud reflections may be, when, and who says so."""

    level_db: float
    """Re the direct sound [dB]."""
    from_s: float
    """First delay after the direct sound that it holds for [s]."""
    to_s: float
    """Last delay that it holds for [s]."""
    source: LimitSource


@dataclass(frozen=True, slots=True)
class Seen:
    """One reflection at one pair."""

    pair: PositionReflections
    reflection: Reflection


def limit_for(use: str) -> Limit | None:
    """Return the limit for a use; None where early reflections are welcome.

    ITU-R BS.1116-3 and EBU Tech 3276, from memory, for the rooms they speak of.
    """
    if use not in EARLY_USES:
        return None
    if use == "voice booth":
        return Limit(-12.0, 0.001, 0.010, LimitSource.VOICE_BOOTHS)
    by_document = use in BS_1116_USES
    source = LimitSource.BS_1116 if by_document else LimitSource.AFTER_BS_1116
    return Limit(-10.0, 0.0, 0.015, source)


def early_reflections(analysis: Analysis, job: Job, target: Target) -> tuple[Finding, ...]:
    """Return one finding for each surface, or pair of surfaces, that sends too much too early; then
    what no wall explains."""
    limit = limit_for(target.key)
    if limit is None:
        return ()
    groups: dict[tuple[str, ...], list[Seen]] = {}
    for seen in _too_loud(analysis, limit):
        groups.setdefault(faces_of(seen.reflection), []).append(seen)
    singles = {faces[0] for faces in groups if len(faces) == 1}
    findings = []
    for faces, group in groups.items():
        if not faces:
            findings.append(_unexplained(analysis, job, group, limit))
        elif len(faces) == 1 or not singles & set(faces):
            # A corner whose walls are named already is cured with them.
            findings.append(_off_surface(analysis, job, faces, group, limit))
    return tuple(findings)


def _too_loud(analysis: Analysis, limit: Limit) -> Iterator[Seen]:
    for pair in analysis.reflections:
        for reflection in pair.reflections:
            surely = reflection.level_db - 2 * LEVEL_U_DB > limit.level_db
            alone = reflection.causes or _may_be_a_thing(pair, reflection)
            if surely and alone and limit.from_s <= reflection.delay_s <= limit.to_s:
                yield Seen(pair, reflection)


def _may_be_a_thing(pair: PositionReflections, reflection: Reflection) -> bool:
    """Whether what no wall explains may be called a thing: not where the places are doubted, since
    a wall may explain it from the right ones, nor where walls together may have sent it."""
    doubted = any(reason.kind in _PLACES_DOUBTED for reason in pair.reasons)
    return not doubted and not reflection.perhaps_walls and reflection.stands_out_db >= ALONE_DB


def faces_of(reflection: Reflection) -> tuple[str, ...]:
    """Return the faces of the likeliest explanation, each once; none where no wall explains it."""
    return tuple(dict.fromkeys(reflection.causes[0].faces)) if reflection.causes else ()


def comb(delay_s: float, level_db: float) -> tuple[float, float, float]:
    r"""Return first notch [Hz], spacing [Hz] and crest over notch [dB] of a reflection's comb.

    With the direct sound it makes notches at :math:`(n + 1/2)/\tau`; crest over notch is
    :math:`20 \lg ((1 + a)/(1 - a))`, a its level relative to the direct sound.

    >>> [round(x, 1) for x in comb(0.001, -6.0206)]
    [500.0, 1000.0, 9.5]
    """
    a = min(10 ** (level_db / 20), 0.999)
    return 0.5 / delay_s, 1 / delay_s, 20 * math.log10((1 + a) / (1 - a))


def _off_surface(
    analysis: Analysis, job: Job, faces: tuple[str, ...], group: Sequence[Seen], limit: Limit
) -> Finding:
    worst = loudest(group)
    kinds = tuple((name, job.room.face(name).kind) for name in faces)
    places = places_of(job, worst.reflection)
    return Finding(
        measured=fact(
            FindingKind.EARLY_REFLECTION,
            surfaces=kinds,
            places=places,
            **_arrival(analysis, group, worst, limit),
        ),
        source=fact(limit.source),
        remedies=_remedies(job, worst.reflection, places[0]),
        beyond_jnd=(worst.reflection.level_db - limit.level_db) / JND_DB,
        sure=how_sure(analysis, group, worst),
        faces=faces,
        seats=seats_of(group),
    )


def _unexplained(analysis: Analysis, job: Job, group: Sequence[Seen], limit: Limit) -> Finding:
    worst = loudest(group)
    delay_s = worst.reflection.delay_s
    kind, remedies = FindingKind.EARLY_OBJECT, _THING
    if delay_s <= NEAR_S:
        kind, remedies = FindingKind.HOLLOW, _DESK
    values = _arrival(analysis, group, worst, limit)
    return Finding(
        measured=fact(
            kind,
            detour_m=job.speed_of_sound_m_s(analysis.visit) * delay_s,
            hollow=values["comb_db"] > RIPPLE_DB,
            **values,
        ),
        source=fact(limit.source),
        remedies=tuple(map(fact, remedies)),
        beyond_jnd=(worst.reflection.level_db - limit.level_db) / JND_DB,
        sure=(fact(Certainty.NOT_ON_THE_PLAN),),
        seats=seats_of(group),
    )


def _arrival(
    analysis: Analysis, group: Sequence[Seen], worst: Seen, limit: Limit
) -> dict[str, Any]:
    """What is measured of a reflection: level, delay, comb, and where else it is seen."""
    reflection = worst.reflection
    first_hz, step_hz, comb_db = comb(reflection.delay_s, reflection.level_db)
    by_level = sorted(group, key=lambda seen: -seen.reflection.level_db)
    others = [seen for seen in by_level if seen.pair is not worst.pair][:MOST_OTHERS]
    return {
        "level_db": reflection.level_db,
        "limit_db": limit.level_db,
        "limit_to_s": limit.to_s,
        "delay_s": reflection.delay_s,
        "source": worst.pair.source,
        "microphone": worst.pair.microphone,
        "comb_first_hz": first_hz,
        "comb_step_hz": step_hz,
        "comb_db": comb_db,
        "others": tuple(
            (seen.pair.source, seen.pair.microphone, seen.reflection.level_db) for seen in others
        ),
        "only_at": only_at(analysis, group),
    }


def _remedies(job: Job, reflection: Reflection, place: Place) -> tuple[Fact[Remedy], ...]:
    meeting = reflection.causes[0].meetings[0]
    face = job.room.face(meeting.face)
    closer, turned = fact(Remedy.CLOSER_TOGETHER), fact(Remedy.TURN_LOUDSPEAKER)
    if face.kind == "floor":
        return closer, fact(Remedy.RUG, place=place)
    if face.kind == "ceiling":
        return closer, fact(Remedy.ABSORBER_UNDER_CEILING, place=place)
    for patch in job.patches:
        here = patch.face == face.name and patch.place.holds(meeting.u_m, meeting.v_m)
        if here and patch.opening:
            return turned, closer, fact(Remedy.CURTAIN_BEFORE, opening=patch.name)
        if here:
            break
    absorber = fact(Remedy.ABSORBER_AT, place=place)
    return turned, closer, absorber, fact(Remedy.TWO_INCHES_TOO_THIN)


def loudest(group: Sequence[Seen]) -> Seen:
    """Return the loudest of a group."""
    return max(group, key=lambda seen: seen.reflection.level_db)


def places_of(job: Job, reflection: Reflection) -> tuple[Place, ...]:
    """Return where sound met the faces of the likeliest explanation, in order."""
    if not reflection.causes:
        return ()
    meetings = reflection.causes[0].meetings
    return tuple(place_of(job.room, m.face, m.u_m, m.v_m) for m in meetings)


def seats_of(group: Sequence[Seen]) -> tuple[str, ...]:
    """Return the microphones of a group, each once."""
    return tuple(dict.fromkeys(seen.pair.microphone for seen in group))


def only_at(analysis: Analysis, group: Sequence[Seen]) -> str | None:
    """Return the microphone where alone it was found, of several; None where it is not so."""
    seats = seats_of(group)
    every = {pair.microphone for pair in analysis.reflections}
    return seats[0] if len(seats) == 1 and len(every) > 1 else None


def how_sure(analysis: Analysis, group: Sequence[Seen], worst: Seen) -> tuple[Fact[Certainty], ...]:
    """Return in how many pairs it was seen, how well the delay fits, and what else it could be."""
    pairs = {(seen.pair.source, seen.pair.microphone) for seen in group}
    first, *others = worst.reflection.causes
    seen_in = fact(
        Certainty.SEEN_IN_PAIRS,
        pairs=len(pairs),
        of=len(analysis.reflections),
        residual_s=abs(first.residual_s),
    )
    if not others:
        return (seen_in,)
    also = tuple((cause.faces, cause.residual_s) for cause in others[:MOST_ALSO])
    return seen_in, fact(Certainty.COULD_ALSO_BE, microphone=worst.pair.microphone, also=also)
