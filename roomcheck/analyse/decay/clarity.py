"""How much of the energy comes early: gate first, filter then."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from roomcheck.analyse.band.bands import Band, Spectrum, reach_s
from roomcheck.analyse.band.noise import Tail
from roomcheck.analyse.decay.onset import Start
from roomcheck.standards.iec_61260_1_2014 import bands_hz

GATES_S = (0.050, 0.080)

LEAST_SHARE = 1e-6
"""A part of the energy smaller than this is not told from rounding, noise and the filter's skirts.
[1]"""


@dataclass(frozen=True, slots=True)
class Early:
    """Clarity at 50 and 80 ms [dB], and definition [1]."""

    c50_db: float
    c80_db: float
    d50: float


class Gates:
    """The first 50 and 80 ms of a response, and as much of it as a filter mixes with them.

    A gate is put on the whole response and the filter on what it lets through, as a filter first
    would carry energy over the gate. With e the gated and x the whole response in a band, the late
    energy is |x|^2 - 2 (e, x) + |e|^2.
    """

    def __init__(self, begun: Start, rate_hz: int, fraction: int) -> None:
        reach = 2 * reach_s(bands_hz(fraction)[0], fraction)
        x = begun.samples[: int((begun.lead_s + GATES_S[-1] + reach) * rate_hz)]
        self.whole = Spectrum(x, rate_hz, begun.lead_s, reach)
        self.gated = []
        for gate_s in GATES_S:
            cut = np.zeros_like(x)
            kept = min(round((begun.lead_s + gate_s) * rate_hz), len(x))
            cut[:kept] = x[:kept]
            self.gated.append(Spectrum(cut, rate_hz, begun.lead_s, reach))

    def early(self, band_hz: float, fraction: int, total: float, end: Tail) -> Early | None:
        """Clarity of a band of so much energy without noise; None where one side of a gate holds
        nothing."""
        clarity, shares = [], []
        for gate_s, gated in zip(GATES_S, self.gated, strict=True):
            noise = end.noise * (gate_s + gated.lead_s)
            early = gated.energy(band_hz, fraction) - noise
            late = total - 2 * (gated.energy(band_hz, fraction, self.whole) - noise) + early
            if min(early, late) < LEAST_SHARE * total:
                return None
            clarity.append(10 * math.log10(early / late))
            shares.append(early / (early + late))
        return Early(clarity[0], clarity[1], shares[0])


def centre_time_s(band: Band, end: Tail, total: float) -> float:
    """Centre of gravity of the squared response; what the filter smears before the start counts
    there. [s]"""
    last = int(
        np.clip(
            round((end.knee_s - band.offset_s) / band.dt_s) + band.start, band.start + 1, band.stop
        )
    )
    t = (np.arange(last) - band.start) * band.dt_s + band.offset_s
    t1 = float(t[-1]) + band.dt_s / 2
    # Noise is counted from the start on: before it there is silence.
    moment = float(t @ band.power[:last]) * band.dt_s - end.noise * t1**2 / 2
    moment += end.missing(t1) * (t1 + 1 / end.slope)
    return moment / total
