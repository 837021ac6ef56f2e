"""What the analysis of one visit says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from roomcheck.analyse.decay.results import BandDecay
from roomcheck.analyse.echoes.results import Flutter, PositionReflections
from roomcheck.analyse.means import BandMean
from roomcheck.analyse.modes.results import Modes, Response
from roomcheck.analyse.speech.results import NoiseLevel, Rattle, SpeechIndex
from roomcheck.facts import Fact, Kind, fact
from roomcheck.geometry import Point
from roomcheck.measure import Signal, Take, Unread

Grade = Literal["none", "survey", "engineering", "precision"]
"""After ISO 3382-2."""


class GradeLack(Kind):
    """What the next grade lacks, and which position rules are broken."""

    TOO_FEW_SOURCES = "too few sources"
    TOO_FEW_MICROPHONES = "too few microphones"
    TOO_FEW_PAIRS = "too few pairs"
    RULES_BROKEN = "position rules broken"
    NO_PLACE = "position not in the job"
    NEAR_SURFACE = "near a surface"
    NEAR_MICROPHONE = "near another microphone"
    NEAR_SOURCE = "near the source"
    SURVEY_RECORD = "record for a survey"
    DIRECTIONS = "directions averaged"
    DIRECTED_SOURCE = "source not alike in all directions"


class SourceNote(Kind):
    """What the loudspeaker's direction does to the numbers."""

    DIRECTIONS_AVERAGED = "directions of the source averaged"
    SOURCES_AVERAGED = "source positions averaged"
    ONE_DIRECTION = "one direction of the source"


class VisitGap(Kind):
    """What a visit lacks, while one is still there."""

    GRADE_NOT_REACHED = "grade not reached"
    MOVE_STANDS = "move the stands"
    NO_CONDITIONS = "no conditions noted"
    PAIRS_LEFT = "pairs left"
    NO_NOISE = "no background noise"


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionDecays:
    """The decays of one source and microphone, and its speech transmission index."""

    source: str
    microphone: str
    take: str
    octaves: tuple[BandDecay, ...]
    thirds: tuple[BandDecay, ...]
    speech: SpeechIndex | None = None
    direction: str | None = None
    """Which way the source pointed, if several are averaged."""
    stood_m: tuple[Point, Point] | None = None
    """Where source and microphone stood, by the job when the take came in [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A take whose check says that it must be repeated, or that cannot be read."""

    take: str
    reasons: tuple[Fact[Take], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Analysis:
    """One visit."""

    visit: str
    positions: tuple[PositionDecays, ...]
    octaves: tuple[BandMean, ...]
    thirds: tuple[BandMean, ...]
    transition_hz: float | None
    """2000 sqrt(T/V): below it the room has modes, not a reverberation time [Hz]."""
    mid_s: float | None
    """Mean T20 of the 500 and 1000 Hz octaves; None where one of them was not measured or lies
    below the transition frequency [s]."""
    mid_u_s: float | None
    """Half of what to both sides holds 95 % [s]."""
    grade: Grade
    lacking: tuple[Fact[GradeLack], ...] = ()
    """What the next grade lacks, and which position rules were broken."""
    left_out: tuple[LeftOut, ...] = ()
    """Takes that were not used."""
    noise: tuple[NoiseLevel, ...] = ()
    """Background noise, one a recording; empty where none was recorded."""
    signals: tuple[Fact[Signal], ...] = ()
    """What was played; more than one where the takes differ."""
    notes: tuple[Fact[SourceNote], ...] = ()
    """What the loudspeaker's direction does to the numbers."""
    reflections: tuple[PositionReflections, ...] = ()
    """One a pair of source and microphone."""
    flutter: tuple[Flutter, ...] = ()
    """The clearest first; empty where none is heard."""
    modes: Modes | None = None
    """The standing waves below the transition; None where there is no transition frequency."""
    responses: tuple[Response, ...] = ()
    """Of every position."""
    rattles: tuple[Rattle, ...] = ()

    def is_modal(self, band_hz: float) -> bool:
        """Whether single modes ring in a band, so that its decay is no reverberation time."""
        return self.transition_hz is not None and band_hz < self.transition_hz

    def octave(self, band_hz: float) -> BandMean | None:
        """The mean of one octave; None where the visit has none."""
        return next((band for band in self.octaves if band.band_hz == band_hz), None)


def without(analysis: Analysis, unread: Sequence[Unread]) -> Analysis:
    """An analysis that names the takes that could not be read besides."""
    lost = tuple(
        LeftOut(take=one.take, reasons=(fact(Take.UNREADABLE, why=one.why),)) for one in unread
    )
    return replace(analysis, left_out=(*analysis.left_out, *lost))


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """What a visit came to, while one is still there to record more."""

    wanted: Grade
    reached: Grade
    missing: tuple[Fact[VisitGap] | Fact[GradeLack], ...]
    """Why the visit is not complete."""
    no_t20: tuple[BandMean, ...]
    """Octaves that need a T20 and have none at any position."""
    notes: tuple[Fact[VisitGap] | Fact[GradeLack], ...]
    """What would make it better."""

    @property
    def complete(self) -> bool:
        """Whether nothing is missing."""
        return not self.missing and not self.no_t20
