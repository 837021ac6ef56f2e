"""What follows the direct sound: reflections with the surfaces that sent them, and flutter."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from roomcheck.facts import Fact, Kind


class EchoReason(Kind):
    """Why a pair has no reflections, or what to be careful of."""

    NO_PLACE = "no place in the job"
    NOT_SEEN = "source not in sight"
    NO_DIRECT_SOUND = "no direct sound"
    LOUDER_THAN_DIRECT = "louder than the direct sound"
    MOVED = "position moved"
    FEW_CAME = "few came"
    PLAN_MISFIT = "plan misfit"
    WOULD_FIT = "would fit elsewhere"


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """Where sound meets a face, in the face's own frame."""

    face: str
    u_m: float
    """Along from its left edge seen from inside; floor, ceiling: x from the plan's corner [m]."""
    v_m: float
    """Up from its lower edge; floor, ceiling: y from the plan's corner [m]."""
    x_m: float
    """The same place in the room [m]."""
    y_m: float
    """[m]"""
    z_m: float
    """[m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class CandidateImage:
    """A mirror image that may have sent an arrival."""

    meetings: tuple[Meeting, ...]
    """The faces that sound met, in order: one or two."""
    due_s: float
    """When it should arrive after the direct sound, by the floor plan [s]."""
    residual_s: float
    """Measured less due [s]."""

    @property
    def order(self) -> int:
        """How many faces it met. [1]"""
        return len(self.meetings)

    @property
    def faces(self) -> tuple[str, ...]:
        """Their names, in order."""
        return tuple(meeting.face for meeting in self.meetings)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reflection:
    """One arrival after the direct sound, 1 to 8 kHz."""

    delay_s: float
    """After the direct sound [s]."""
    level_db: float
    """Relative to the direct sound [dB]."""
    stands_out_db: float
    """Above what else arrives around it [dB]."""
    causes: tuple[CandidateImage, ...]
    """The likeliest first; more than one where images lie too close together to tell apart; none
    where no wall explains it."""
    perhaps_walls: bool = False
    """Of one without causes: whether paths over one to three faces that come near this moment may
    together be this loud, or the loudspeaker may still sound of a louder one just before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionReflections:
    """What follows the direct sound between one source and one microphone."""

    source: str
    microphone: str
    take: str
    reflections: tuple[Reflection, ...]
    """In the order of time."""
    smear_s: float | None
    """How long the loudspeaker's own sound lasts (15 dB below its peak): closer arrivals melt into
    it [s]."""
    early_db: float | None
    """Energy from 0.7 to 20 ms over the direct sound's, 1 to 8 kHz [dB]."""
    reasons: tuple[Fact[EchoReason], ...] = ()
    """Why there is nothing, or what to be careful of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Flutter:
    """Sound that runs to and fro between two parallel faces."""

    faces: tuple[tuple[str, str], ...]
    """The pair; more than one where pairs are equally far apart."""
    apart_m: float
    """As measured by the period [m]."""
    period_s: float
    """[s]"""
    repeats: int
    """How many stand out, at the place where it is clearest."""
    stands_out_db: float
    """Above the decay around them, on the mean of the repeats [dB]."""
    fall_db: float
    """From one repeat to the next [dB]."""
    heard_at: tuple[tuple[str, str], ...]
    """Source and microphone; the clearest first."""


def mean_early_db(
    rows: Sequence[PositionReflections],
) -> tuple[tuple[str, float, float, float], ...]:
    """Early energy of each source over the listening area: (source, mean, least, most). [dB re
    direct sound]"""
    found = []
    for source in dict.fromkeys(row.source for row in rows):
        known = [row.early_db for row in rows if row.source == source and row.early_db is not None]
        if known:
            mean = 10 * math.log10(sum(10 ** (db / 10) for db in known) / len(known))
            found.append((source, mean, min(known), max(known)))
    return tuple(found)
