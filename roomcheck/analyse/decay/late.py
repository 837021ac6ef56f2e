"""How each octave of a response would die away if there were no noise."""

from __future__ import annotations

import math
from dataclasses import dataclass

from roomcheck.analyse.band.bands import Spectrum, reach_s
from roomcheck.analyse.decay.curve import decay_curve
from roomcheck.analyse.decay.fits import curve_of, peak_to_noise_db
from roomcheck.analyse.decay.onset import start
from roomcheck.measure import ImpulseResponse
from roomcheck.standards import iso_3382_2_2008 as iso
from roomcheck.standards.iec_61260_1_2014 import band_edges_hz, bands_hz

CLEAR_NEPERS = math.log(10)
"""The record is the room's as long as the decay's line stands 10 dB above the noise. [neper]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class LateDecay:
    """The line that an octave falls along where its noise begins."""

    band_hz: float
    """Nominal mid-band frequency [Hz]."""
    from_s: float
    """Where the line takes over: 10 dB above the noise, or the end of the record; after the start
    of the response [s]."""
    t60_s: float
    """Reverberation time of the line [s]."""
    share: float
    """Energy of the line from there on, over the energy of the record until there [1]."""


def late_decays(ir: ImpulseResponse) -> tuple[float, tuple[LateDecay, ...]]:
    """Where a response starts, and the late decay of each octave that has one.

    The line is the one that the decay curve is completed with. Left out are octaves whose peak is
    not 20 dB above the noise, or that show no decay.

    Parameters
    ----------
    ir : ImpulseResponse

    Returns
    -------
    float
        Start of the response in the record. [s]
    tuple of LateDecay
        At most all octaves from 63 Hz to 8 kHz.

    References
    ----------
    ISO 3382-1:2009, 5.3.3 (correction for the truncated tail), as quoted in open analysis code.
    """
    begun = start(ir)
    if not begun.samples.size:
        return 0.0, ()
    onset_s, begun = begun.onset_s, begun.over_peak()
    bands = [hz for hz in bands_hz(1) if band_edges_hz(hz, 1)[1] <= ir.rate_hz / 2]
    spectrum = Spectrum(begun.samples, ir.rate_hz, begun.lead_s, 2 * reach_s(bands_hz(1)[0], 1))
    found = (_late(spectrum, hz) for hz in bands)
    return onset_s, tuple(late for late in found if late is not None)


def _late(spectrum: Spectrum, band_hz: float) -> LateDecay | None:
    band = spectrum.band(band_hz, 1)
    if band.stop <= band.start:
        return None
    energy, end, _ = curve_of(band)
    if end is None or end.slope <= 0 or peak_to_noise_db(band, energy, end) < iso.EDT_RANGE_DB:
        return None
    if decay_curve(band, energy, end) is None:
        return None
    above = CLEAR_NEPERS / end.slope if end.noise > 0 else 0.0
    from_s = min(end.knee_s, end.until_s) - above
    last = min(band.start + round((from_s - band.offset_s) / band.dt_s), band.stop)
    until = float(energy[max(last, 0)]) * band.dt_s
    if last <= band.start or until <= 0:
        return None
    return LateDecay(
        band_hz=band_hz,
        from_s=from_s,
        t60_s=6 * math.log(10) / end.slope,
        share=end.missing(from_s) / until,
    )
