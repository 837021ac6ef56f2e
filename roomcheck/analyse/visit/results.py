"""What the analysis of one visit says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from roomcheck.analyse.decay.results import BandDecay, DecayWarning, Reason
from roomcheck.analyse.echoes.results import Flutter, PositionReflections
from roomcheck.analyse.modes.results import Modes, Response
from roomcheck.analyse.speech.results import NoiseLevel, Rattle, SpeechIndex
from roomcheck.facts import Estimate, Fact, Kind
from roomcheck.geometry import Point
from roomcheck.measure import Record, Signal, Take

Grade = Literal["none", "survey", "engineering", "precision"]
"""After ISO 3382-2."""


class MeanRemark(Kind):
    """What to know of a mean over positions."""

    ONE_POSITION = "one position"
    SOME_POSITIONS = "some positions"


class Lack(Kind):
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
class BandMean:
    """One band over all positions that have a number in it.

    Every estimate holds the mean over the positions; its `u` is the standard uncertainty of the
    mean, what the positions show or what chance alone gives, whichever is more.
    """

    band_hz: float
    """Nominal mid-band frequency [Hz]."""
    edt: Estimate | None = None
    """Early decay time; this and every estimate below is None where no position has it [s]."""
    t20: Estimate | None = None
    """Reverberation time from the fit 5 to 25 dB down [s]."""
    t30: Estimate | None = None
    """Reverberation time from the fit 5 to 35 dB down [s]."""
    c50: Estimate | None = None
    """Clarity at 50 ms [dB]."""
    c80: Estimate | None = None
    """Clarity at 80 ms [dB]."""
    d50: Estimate | None = None
    """Definition, 0 to 1 [1]."""
    ts: Estimate | None = None
    """Centre time [s]."""
    remarks: tuple[Fact[MeanRemark], ...] = ()
    """How many positions stand behind T20."""
    withheld: tuple[Fact[Reason] | Fact[Record], ...] = ()
    """Why positions have no number: one for each kind, with its number of `cases`."""
    warnings: tuple[Fact[DecayWarning] | Fact[Record], ...] = ()
    """What to know of the numbers of the positions: one for each kind, with its `cases`."""

    @property
    def t20_s(self) -> float | None:
        """Mean T20. [s]"""
        return self.t20.value if self.t20 else None

    @property
    def t20_u_s(self) -> float | None:
        """Standard uncertainty of the mean T20. [s]"""
        return self.t20.u if self.t20 else None

    @property
    def t20_spread_s(self) -> float | None:
        """Standard deviation of T20 over the positions. [s]"""
        return self.t20.spread if self.t20 else None

    @property
    def positions(self) -> int:
        """How many had a T20. [1]"""
        return self.t20.n if self.t20 else 0

    @property
    def facts(
        self,
    ) -> tuple[Fact[MeanRemark] | Fact[Reason] | Fact[DecayWarning] | Fact[Record], ...]:
        """Remarks, reasons, then warnings."""
        return (*self.remarks, *self.withheld, *self.warnings)

    @property
    def reasons(self) -> tuple[str, ...]:
        """`facts` as short texts; `roomcheck.words` has them as sentences."""
        return tuple(map(str, self.facts))

    def row(self) -> dict[str, float | int | None]:
        """Return the means as one flat row of a data frame: `t20_s`, `t20_u_s`, `t20_spread_s` …

        >>> band = BandMean(band_hz=500.0, t20=Estimate(value=0.5, u=0.02, n=6))
        >>> row = band.row()
        >>> row["band_hz"], row["t20_s"], row["t20_u_s"], row["positions"], row["c50_db"]
        (500.0, 0.5, 0.02, 6, None)
        """
        row: dict[str, float | int | None] = {"band_hz": self.band_hz, "positions": self.positions}
        for name, unit in UNITS.items():
            estimate: Estimate | None = getattr(self, name)
            row[f"{name}{unit}"] = estimate.value if estimate else None
            row[f"{name}_u{unit}"] = estimate.u if estimate else None
            row[f"{name}_spread{unit}"] = estimate.spread if estimate else None
        return row


UNITS = {"t20": "_s", "t30": "_s", "edt": "_s", "c50": "_db", "c80": "_db", "d50": "", "ts": "_s"}
"""The estimates of a `BandMean`, with the suffix of their unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A take whose check says that it must be repeated."""

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
    """Its standard uncertainty [s]."""
    grade: Grade
    lacking: tuple[Fact[Lack], ...] = ()
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """What a visit came to, while one is still there to record more."""

    wanted: Grade
    reached: Grade
    missing: tuple[Fact[VisitGap] | Fact[Lack], ...]
    """Why the visit is not complete."""
    no_t20: tuple[BandMean, ...]
    """Octaves that need a T20 and have none at any position."""
    notes: tuple[Fact[VisitGap] | Fact[Lack], ...]
    """What would make it better."""

    @property
    def complete(self) -> bool:
        """Whether nothing is missing."""
        return not self.missing and not self.no_t20
