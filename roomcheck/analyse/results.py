"""What the analysis of a visit says."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median


@dataclass(frozen=True, slots=True, kw_only=True)
class BandDecay:
    """How sound dies away in one band at one position.

    Attributes
    ----------
    band_hz : float
        Nominal mid-band frequency. [Hz]
    edt_s, t20_s, t30_s : float or None
        Early decay time, and reverberation time from each fit; None where not measurable. [s]
    t20_sd_s, t30_sd_s : float or None
        Standard deviation by ISO 3382-2 for this one position. [s]
    c50_db, c80_db : float or None
        Clarity. [dB]
    d50 : float or None
        Definition, 0 to 1. [1]
    ts_s : float or None
        Centre time. [s]
    range_db : float or None
        Peak to noise. [dB]
    curvature_pct : float or None
        100 (T30/T20 - 1). [%]
    reasons : tuple of str
        One sentence for every None above, then warnings.
    c50_sd_db, c80_sd_db, d50_sd, ts_sd_s : float or None
        Standard deviation that chance alone gives at this one position. [dB], [1], [s]
    """

    band_hz: float
    edt_s: float | None
    t20_s: float | None
    t30_s: float | None
    t20_sd_s: float | None
    t30_sd_s: float | None
    c50_db: float | None
    c80_db: float | None
    d50: float | None
    ts_s: float | None
    range_db: float | None
    curvature_pct: float | None
    reasons: tuple[str, ...] = ()
    c50_sd_db: float | None = None
    c80_sd_db: float | None = None
    d50_sd: float | None = None
    ts_sd_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionDecays:
    """The decays of one source and microphone, in octaves and thirds."""

    source: str
    microphone: str
    take: str
    octaves: tuple[BandDecay, ...]
    thirds: tuple[BandDecay, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BandMean:
    """One band over all positions that have a number in it.

    Attributes
    ----------
    band_hz : float
        [Hz]
    t20_s, t30_s, edt_s, c50_db, c80_db, d50, ts_s : float or None
        Means over the positions. [s], [dB], [1]
    t20_u_s : float or None
        Standard uncertainty of the mean T20: spread over positions and ISO 3382-2 together. [s]
    t20_spread_s : float or None
        Standard deviation over the positions. [s]
    positions : int
        How many had a T20.
    reasons : tuple of str
    """

    band_hz: float
    edt_s: float | None
    t20_s: float | None
    t30_s: float | None
    c50_db: float | None
    c80_db: float | None
    d50: float | None
    ts_s: float | None
    t20_u_s: float | None
    t20_spread_s: float | None
    positions: int
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomMode:
    """One standing wave as measured.

    Attributes
    ----------
    frequency_hz, frequency_u_hz : float
        And its standard uncertainty, never below the Cramér-Rao bound. [Hz]
    decay_s, decay_u_s : float
        Time for 60 dB, and its standard uncertainty. [s]
    level_db : float
        Energy at the start, mean over the positions, re the strongest of the room's modes. [dB]
    range_db : float
        Its peak in the spectrum over the noise there, mean over the positions. [dB]
    late_db : float or None
        How far it stands over what is left beside it 150 ms after the onset; None where that is noise. [dB]
    checked : bool
        A fit that begins later finds it again; else it is too weak for that check.
    box : str
        The standing wave that the room's size predicts there: "axial, length (1 0 0)"; empty where none is.
    box_hz : float or None
        Where that one should be. [Hz]
    others : tuple of str
        Further ones that fit as well.
    """

    frequency_hz: float
    frequency_u_hz: float
    decay_s: float
    decay_u_s: float
    level_db: float
    range_db: float
    late_db: float | None
    checked: bool
    box: str = ""
    box_hz: float | None = None
    others: tuple[str, ...] = ()

    @property
    def bandwidth_hz(self) -> float:
        """Width at half power, 3 ln 10 / (pi T). [Hz]"""
        return 3 * math.log(10) / (math.pi * self.decay_s)

    @property
    def q(self) -> float:
        """pi f T / (3 ln 10). [1]"""
        return self.frequency_hz / self.bandwidth_hz


@dataclass(frozen=True, slots=True, kw_only=True)
class Modes:
    """The room's standing waves below its transition frequency.

    Attributes
    ----------
    from_hz, to_hz : float
        Where they were looked for. [Hz]
    found : tuple of RoomMode
        By rising frequency.
    not_found : tuple of str
        Those that the room's size predicts there and that were not told apart.
    positions : int
        How many responses were taken together.
    reasons : tuple of str
        Why there are none, and what to know of those that are there.
    """

    from_hz: float
    to_hz: float
    found: tuple[RoomMode, ...]
    not_found: tuple[str, ...]
    positions: int
    reasons: tuple[str, ...] = ()

    @property
    def longest(self) -> RoomMode | None:
        """The mode that rings longest relative to its neighbours (the median of those within an octave)."""
        return max(self.found, key=lambda mode: mode.decay_s / self.neighbours_s(mode), default=None)

    def neighbours_s(self, mode: RoomMode) -> float:
        """Median decay of the modes within half an octave on either side; its own where there are none. [s]"""
        near = [
            other.decay_s
            for other in self.found
            if other is not mode and abs(math.log2(other.frequency_hz / mode.frequency_hz)) <= 0.5
        ]
        return median(near) if near else mode.decay_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """How loud each frequency is at one position, the room's decay and all.

    Attributes
    ----------
    source, microphone : str
    hz : tuple of float
        24 in an octave. [Hz]
    level_db : tuple of float
        Smoothed over a twelfth of an octave (below 200 Hz a twenty-fourth); 0 dB is the mean power of 250 Hz to 2 kHz
        unless `absolute`. [dB]
    absolute : bool
        [dB re 20 uPa for a source that gives what the sweep gave]
    clear_from_hz, clear_to_hz : float
        Where the response stands 10 dB or more over its noise. [Hz]
    """

    source: str
    microphone: str
    hz: tuple[float, ...]
    level_db: tuple[float, ...]
    clear_from_hz: float
    clear_to_hz: float
    absolute: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Dip:
    """A hole in the response.

    Attributes
    ----------
    frequency_hz : float
        [Hz]
    depth_db : float
        Below the median of an octave around it. [dB]
    width_octaves : float
        Where it is half as deep.
    """

    frequency_hz: float
    depth_db: float
    width_octaves: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Rattle:
    """Something that buzzes when the sweep passes a frequency.

    Attributes
    ----------
    frequency_hz : float
        What sets it off. [Hz]
    over_db : float
        Over what else the sweep leaves over. [dB]
    under_db : float
        Below the sweep itself at that moment. [dB]
    takes : tuple of str
        Where it was heard.
    of : int
        How many takes could have shown it.
    """

    frequency_hz: float
    over_db: float
    under_db: float
    takes: tuple[str, ...]
    of: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Analysis:
    """One visit.

    Attributes
    ----------
    visit : str
    positions : tuple of PositionDecays
    octaves, thirds : tuple of BandMean
    transition_hz : float or None
        2000 sqrt(T/V): below it the room has modes, not a reverberation time. [Hz]
    mid_s, mid_u_s : float or None
        Mean T20 of the 500 and 1000 Hz octaves and its standard uncertainty; None where one of them was not measured
        or lies below the transition frequency. [s]
    grade : str
        "survey", "engineering", "precision" or "none", after ISO 3382-2.
    lacking : tuple of str
        What the next grade lacks, and which position rules were broken.
    modes : Modes or None
        The standing waves below the transition; None where there is no transition frequency.
    responses : tuple of Response
        Of every position.
    rattles : tuple of Rattle
    """

    visit: str
    positions: tuple[PositionDecays, ...]
    octaves: tuple[BandMean, ...]
    thirds: tuple[BandMean, ...]
    transition_hz: float | None
    mid_s: float | None
    mid_u_s: float | None
    grade: str
    lacking: tuple[str, ...] = ()
    modes: Modes | None = None
    responses: tuple[Response, ...] = ()
    rattles: tuple[Rattle, ...] = ()

    def is_modal(self, band_hz: float) -> bool:
        """Whether single modes ring in a band, so that its decay is no reverberation time."""
        return self.transition_hz is not None and band_hz < self.transition_hz

    def octave(self, band_hz: float) -> BandMean | None:
        return next((band for band in self.octaves if band.band_hz == band_hz), None)
