"""What the analysis of a visit says."""

from __future__ import annotations

from dataclasses import dataclass


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
        Bandwidth times T30, or T20 where there is none. Filters run forward serve from 16 on, zero-phase ones from 8;
        below 16 a warning says so, below 8 there is no T20 and no T30. [1]
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
        Standard uncertainty of the mean T20: what the positions show or what chance alone gives, whichever is more. [s]
    t20_spread_s : float or None
        Standard deviation over the positions. [s]
    positions : int
        How many had a T20.
    reasons : tuple of str
    edt_u_s, t30_u_s, c50_u_db, c80_u_db, d50_u, ts_u_s : float or None
        Standard uncertainties of the other means, by the same rule. [s], [dB], [1]
    edt_spread_s, t30_spread_s, c50_spread_db, c80_spread_db, d50_spread, ts_spread_s : float or None
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
        Mean T20 of the 500 and 1000 Hz octaves and its standard uncertainty. [s]
    grade : str
        "survey", "engineering", "precision" or "none", after ISO 3382-2.
    lacking : tuple of str
        What the next grade lacks, and which position rules were broken.
    notes : tuple of str
        What to know of the numbers: above all what the loudspeaker's direction does to them.
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
    notes: tuple[str, ...] = ()

    def octave(self, band_hz: float) -> BandMean | None:
        return next((band for band in self.octaves if band.band_hz == band_hz), None)
