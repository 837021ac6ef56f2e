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
    """The decays of one source and microphone, in octaves and thirds, and its speech transmission index."""

    source: str
    microphone: str
    take: str
    octaves: tuple[BandDecay, ...]
    thirds: tuple[BandDecay, ...]
    speech: SpeechIndex | None = None
    direction: str | None = None


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
    octaves: tuple[BandMean, ...]
    thirds: tuple[BandMean, ...]
    transition_hz: float | None
    mid_s: float | None
    mid_u_s: float | None
    grade: str
    lacking: tuple[str, ...] = ()

    def octave(self, band_hz: float) -> BandMean | None:
        return next((band for band in self.octaves if band.band_hz == band_hz), None)
