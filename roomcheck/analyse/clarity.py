"""How much of the energy comes early: gate first, filter then."""

from __future__ import annotations


import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.bands import Band, Spectrum, reach_s
from roomcheck.analyse.noise import Tail
from roomcheck.analyse.onset import Start
from roomcheck.standards.iec_61260_1_2014 import bands_hz


class Gates:
    """The first 50 and 80 ms of a response, and as much of it as a filter mixes with them."""

    def __init__(self, begun: Start, rate_hz: int, fraction: int) -> None:
        reach = 2 * reach_s(bands_hz(fraction)[0], fraction)
        x = begun.samples[: int((begun.lead_s + 0.080 + reach) * rate_hz)]
        self.whole = Spectrum(x, rate_hz, begun.lead_s, reach)
        self.early = {}
        for gate_s in (0.050, 0.080):
            cut = np.zeros_like(x)
            kept = min(round((begun.lead_s + gate_s) * rate_hz), len(x))
            cut[:kept] = x[:kept]
            self.early[gate_s] = Spectrum(cut, rate_hz, begun.lead_s, reach)

    def split(self, gate_s: float, band_hz: float, fraction: int, total: float, end: Tail) -> tuple[float, float]:
        """Energy of the band before and after the gate, without noise."""
        gated = self.early[gate_s]
        noise = end.noise * (gate_s + gated.lead_s)
        early = gated.energy(band_hz, fraction) - noise
        both = gated.energy(band_hz, fraction, self.whole) - noise
        return early, total - 2 * both + early


def centre_time_s(band: Band, end: Tail, total: float) -> float:
    """Centre of gravity of the squared response; what the filter smears before the start counts there. [s]"""
    last = int(np.clip(round((end.knee_s - band.offset_s) / band.dt_s) + band.start, band.start + 1, band.stop))
    t: NDArray[np.float64] = (np.arange(last) - band.start) * band.dt_s + band.offset_s
    t1 = t[-1] + band.dt_s / 2
    # Noise is counted from the start on: before it there is silence.
    moment = float(t @ band.power[:last]) * band.dt_s - end.noise * t1**2 / 2
    moment += end.level * np.exp(-end.slope * t1) * (t1 / end.slope + 1 / end.slope**2)
    return moment / total
