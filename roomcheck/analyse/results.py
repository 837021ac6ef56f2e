"""What the analysis of a visit says."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median

from roomcheck.facts import Fact
from roomcheck.geometry import Point
from roomcheck.measure import Scale
from roomcheck.standards.curves.noise_curves import NoiseRating


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
    edt_sd_s, c50_sd_db, c80_sd_db, d50_sd, ts_sd_s : float or None
        Standard deviation that chance alone gives at this one position. [s], [dB], [1]
    bt : float or None
        Bandwidth times T30, or T20 where there is none. Filters run forward serve from 16 on,
        zero-phase ones from 8; below 16 a warning says so, below 8 there is no T20 and no T30. [1]
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
    edt_sd_s: float | None = None
    bt: float | None = None


def no_numbers(band_hz: float, range_db: float | None, reason: str) -> BandDecay:
    """A band that has none, and why."""
    return BandDecay(
        band_hz=band_hz, edt_s=None, t20_s=None, t30_s=None, t20_sd_s=None, t30_sd_s=None, c50_db=None, c80_db=None,
        d50=None, ts_s=None, range_db=range_db, curvature_pct=None, reasons=(reason,),
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class BandSpeech:
    """One octave's part in the index.

    Attributes
    ----------
    band_hz : float
        [Hz]
    mti : float or None
        Modulation transfer index, mean of 14 modulations, 0 to 1. [1]
    snr_db : float or None
        Speech over noise that was counted in; None where no noise is known. [dB]
    reasons : tuple of str
    """

    band_hz: float
    mti: float | None
    snr_db: float | None = None
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeechIndex:
    """Speech transmission index of one source and microphone.

    Attributes
    ----------
    sti : float or None
        0 to 1; None where an octave has no answer. [1]
    rating : str or None
        The word that goes with it.
    bands : tuple of BandSpeech
        125 Hz to 8 kHz.
    reasons : tuple of str
        Why there is no index, then what it leaves out.
    """

    sti: float | None
    rating: str | None
    bands: tuple[BandSpeech, ...]
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionDecays:
    """The decays of one source and microphone, in octaves and thirds, and its speech transmission
    index."""

    source: str
    microphone: str
    take: str
    octaves: tuple[BandDecay, ...]
    thirds: tuple[BandDecay, ...]
    speech: SpeechIndex | None = None
    direction: str | None = None
    stood_m: tuple[Point, Point] | None = None


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
        Standard uncertainty of the mean T20: what the positions show or what chance alone gives,
        whichever is more. [s]
    t20_spread_s : float or None
        Standard deviation over the positions. [s]
    positions : int
        How many had a T20.
    reasons : tuple of str
    edt_u_s, t30_u_s, c50_u_db, c80_u_db, d50_u, ts_u_s : float or None
        Standard uncertainties of the other means, by the same rule. [s], [dB], [1]
    edt_spread_s, t30_spread_s, c50_spread_db, c80_spread_db, d50_spread, ts_spread_s : float or
    None
        Standard deviations over the positions. [s], [dB], [1]
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
    edt_u_s: float | None = None
    t30_u_s: float | None = None
    c50_u_db: float | None = None
    c80_u_db: float | None = None
    d50_u: float | None = None
    ts_u_s: float | None = None
    edt_spread_s: float | None = None
    t30_spread_s: float | None = None
    c50_spread_db: float | None = None
    c80_spread_db: float | None = None
    d50_spread: float | None = None
    ts_spread_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NoiseLevel:
    """One recording of the background noise.

    Attributes
    ----------
    take, conditions : str
        The recording, and what was on or off.
    seconds : float
        [s]
    absolute : bool
        True: levels in dB re 20 uPa; False: in dB re full scale, comparable only at the same input
        gain.
    reference : str
        What makes it absolute, or why it is not.
    octaves_db : tuple of (band_hz, level)
        Energy average over the recording. [Hz], [dB]
    a_weighted_db : float
        [dB]
    nc, nr : NoiseRating or None
        None where the level is not absolute.
    warnings : tuple of str
    """

    take: str
    conditions: str
    seconds: float
    absolute: bool
    reference: Fact[Scale]
    octaves_db: tuple[tuple[float, float], ...]
    a_weighted_db: float
    nc: NoiseRating | None
    nr: NoiseRating | None
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """Where sound meets a face, in the face's own frame.

    Attributes
    ----------
    face : str
    u_m, v_m : float
        Along from its left edge seen from inside, and up (floor, ceiling: x and y from the plan's
        corner). [m]
    x_m, y_m, z_m : float
        The same place in the room. [m]
    """

    face: str
    u_m: float
    v_m: float
    x_m: float
    y_m: float
    z_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """A mirror image that may have sent an arrival.

    Attributes
    ----------
    meetings : tuple of Meeting
        The faces that sound met, in order: one or two.
    due_s : float
        When it should arrive after the direct sound, by the floor plan. [s]
    residual_s : float
        Measured less due. [s]
    """

    meetings: tuple[Meeting, ...]
    due_s: float
    residual_s: float

    @property
    def order(self) -> int:
        return len(self.meetings)

    @property
    def faces(self) -> tuple[str, ...]:
        return tuple(meeting.face for meeting in self.meetings)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reflection:
    """One arrival after the direct sound, 1 to 8 kHz.

    Attributes
    ----------
    delay_s, level_db : float
        Relative to the direct sound. [s], [dB]
    stands_out_db : float
        Above what else arrives around it. [dB]
    causes : tuple of Cause
        The likeliest first; more than one where images lie too close together to tell apart; none
        where no wall explains it (desk, equipment).
    """

    delay_s: float
    level_db: float
    stands_out_db: float
    causes: tuple[Cause, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PositionReflections:
    """What follows the direct sound between one source and one microphone.

    Attributes
    ----------
    source, microphone, take : str
    reflections : tuple of Reflection
        In the order of time.
    smear_s : float or None
        How long the loudspeaker's own sound lasts (15 dB below its peak): closer arrivals melt into
        it. [s]
    early_db : float or None
        Energy from 0.7 to 20 ms over the direct sound's, 1 to 8 kHz. [dB]
    reasons : tuple of str
        Why there is nothing, or what to be careful of.
    """

    source: str
    microphone: str
    take: str
    reflections: tuple[Reflection, ...]
    smear_s: float | None
    early_db: float | None
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Flutter:
    """Sound that runs to and fro between two parallel faces.

    Attributes
    ----------
    faces : tuple of (first, second)
        The pair; more than one where pairs are equally far apart.
    apart_m, period_s : float
        As measured by the period. [m], [s]
    repeats : int
        How many stand out, at the place where it is clearest.
    stands_out_db : float
        Above the decay around them, on the mean of the repeats. [dB]
    fall_db : float
        From one repeat to the next. [dB]
    heard_at : tuple of (source, microphone)
        The clearest first.
    """

    faces: tuple[tuple[str, str], ...]
    apart_m: float
    period_s: float
    repeats: int
    stands_out_db: float
    fall_db: float
    heard_at: tuple[tuple[str, str], ...]


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
        How far it stands over what is left beside it 150 ms after the onset; None where that is
        noise. [dB]
    checked : bool
        A fit that begins later finds it again; else it is too weak for that check.
    box : str
        The standing wave that the room's size predicts there: "axial, length (1 0 0)"; empty where
        none is.
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
        """The mode that rings longest relative to its neighbours (the median of those within an
        octave)."""
        return max(
            self.found, key=lambda mode: mode.decay_s / self.neighbours_s(mode), default=None
        )

    def neighbours_s(self, mode: RoomMode) -> float:
        """Median decay of the modes within half an octave on either side; its own where there are
        none. [s]"""
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
        Smoothed over a twelfth of an octave (below 200 Hz a twenty-fourth); 0 dB is the mean power
        of 250 Hz to 2 kHz unless `absolute`. [dB]
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
        Mean T20 of the 500 and 1000 Hz octaves and its standard uncertainty; None where one of them
        was not measured or lies below the transition frequency. [s]
    grade : str
        "survey", "engineering", "precision" or "none", after ISO 3382-2.
    lacking : tuple of str
        What the next grade lacks, and which position rules were broken.
    signals : tuple of str
        What was played, in words; more than one where the takes differ.
    noise : tuple of NoiseLevel
        Background noise, one a recording; empty where none was recorded.
    notes : tuple of str
        What to know of the numbers: above all what the loudspeaker's direction does to them.
    reflections : tuple of PositionReflections
        One a pair of source and microphone.
    flutter : tuple of Flutter
        The clearest first; empty where none is heard.
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
    noise: tuple[NoiseLevel, ...] = ()
    signals: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    reflections: tuple[PositionReflections, ...] = ()
    flutter: tuple[Flutter, ...] = ()
    modes: Modes | None = None
    responses: tuple[Response, ...] = ()
    rattles: tuple[Rattle, ...] = ()

    def is_modal(self, band_hz: float) -> bool:
        """Whether single modes ring in a band, so that its decay is no reverberation time."""
        return self.transition_hz is not None and band_hz < self.transition_hz

    def octave(self, band_hz: float) -> BandMean | None:
        return next((band for band in self.octaves if band.band_hz == band_hz), None)
