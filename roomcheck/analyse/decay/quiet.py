"""How each octave of a response dies away that holds no noise at all."""

from __future__ import annotations

import math

import numpy as np

from roomcheck.analyse.band.bands import Band, Spectrum, reach_s
from roomcheck.analyse.band.blocks import DB_PER_NEPER
from roomcheck.analyse.decay.curve import Curve, fit_line
from roomcheck.analyse.decay.onset import start
from roomcheck.measure import ImpulseResponse
from roomcheck.standards.iec_61260_1_2014 import MOST_LEAN, band_edges_hz, bands_hz

LEAN_BELOW_BT = 40.0
"""As in recordings: below, the octave is filtered once more by a filter that leans. [1]"""

TO_DB = -25.0
"""T20 ends here; the record must reach it. [dB]"""


def quiet_t20_s(ir: ImpulseResponse) -> dict[float, float]:
    """T20 of each octave of a response that holds no noise, by its band in Hz; without those that
    do not fall so far. [s]

    Nothing in such a response ends its decay, so it is integrated from its end, and no number is
    withheld: what is asked of a recording is asked because it may hold more than the room.

    Parameters
    ----------
    ir : ImpulseResponse

    References
    ----------
    ISO 3382-1:2009, 5.3.3: backward integration; a straight line from -5 to -25 dB.
    """
    begun = start(ir)
    if not begun.samples.size:
        return {}
    begun = begun.over_peak()
    spectrum = Spectrum(begun.samples, ir.rate_hz, begun.lead_s, 2 * reach_s(bands_hz(1)[0], 1))
    found = {}
    for band_hz in bands_hz(1):
        if band_edges_hz(band_hz, 1)[1] > ir.rate_hz / 2:
            continue
        t20_s = _t20_s(spectrum.band(band_hz, 1))
        if t20_s is not None:
            found[band_hz] = _leant(spectrum, band_hz, t20_s)
    return found


def _leant(spectrum: Spectrum, band_hz: float, t20_s: float) -> float:
    """The same by a filter that leans with the decay, where the upright one is heard itself. [s]"""
    upright = spectrum.band(band_hz, 1)
    if t20_s * upright.bandwidth_hz >= LEAN_BELOW_BT:
        return t20_s
    lean_per_s = min(3 * math.log(10) / t20_s, MOST_LEAN * upright.bandwidth_hz)
    return _t20_s(spectrum.band(band_hz, 1, lean_per_s)) or t20_s


def _t20_s(band: Band) -> float | None:
    still = np.cumsum(band.power[band.start : band.stop][::-1])[::-1]
    if not still.size or still[0] <= 0 or still[-1] > still[0] * 10 ** (TO_DB / 10):
        return None
    total = float(np.sum(band.power[: band.stop]))
    db = np.asarray(DB_PER_NEPER * np.log(np.maximum(still, still[0] * 1e-12) / total))
    t_s = (np.arange(len(still), dtype=np.float64) - 0.5) * band.dt_s + band.offset_s
    line = fit_line(Curve(t_s, db, total, float(db[-1])), -5.0, TO_DB)
    return line.t60_s if line else None
