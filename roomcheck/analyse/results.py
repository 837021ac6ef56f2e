"""What the analysis of a visit says."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """Where sound meets a face, in the face's own frame.

    Attributes
    ----------
    face : str
    u_m, v_m : float
        Along from its left edge seen from inside, and up (floor, ceiling: x and y from the plan's corner). [m]
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
        The likeliest first; more than one where images lie too close together to tell apart; none where no wall
        explains it (desk, equipment).
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
        How long the loudspeaker's own sound lasts (15 dB below its peak): closer arrivals melt into it. [s]
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
class Analysis:
    """One visit.

    Attributes
    ----------
    visit : str
    positions : tuple of PositionDecays
    reflections : tuple of PositionReflections
        One a pair of source and microphone.
    flutter : tuple of Flutter
        The clearest first; empty where none is heard.
    octaves, thirds : tuple of BandMean
    transition_hz : float or None
        2000 sqrt(T/V): below it the room has modes, not a reverberation time. [Hz]
    mid_s, mid_u_s : float or None
        Mean T20 of the 500 and 1000 Hz octaves and its standard uncertainty. [s]
    grade : str
        "survey", "engineering", "precision" or "none", after ISO 3382-2.
    lacking : tuple of str
        What the next grade lacks, and which position rules were broken.
    """

    visit: str
    positions: tuple[PositionDecays, ...]
    reflections: tuple[PositionReflections, ...] = ()
    flutter: tuple[Flutter, ...] = ()
    octaves: tuple[BandMean, ...]
    thirds: tuple[BandMean, ...]
    transition_hz: float | None
    mid_s: float | None
    mid_u_s: float | None
    grade: str
    lacking: tuple[str, ...] = ()

    def octave(self, band_hz: float) -> BandMean | None:
        return next((band for band in self.octaves if band.band_hz == band_hz), None)
