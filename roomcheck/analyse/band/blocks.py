"""A band's power in blocks, while the end of its record is being looked for."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.band.bands import Band
from roomcheck.analyse.band.kinds import DecayWarning
from roomcheck.facts import Fact

DB_PER_NEPER = 10 / math.log(10)

ROUNDING = 1e-15
"""A block whose power over the loudest is less than this is rounding of the running sum. [1]"""

Array = NDArray[np.float64]


@dataclass(slots=True)
class Ending:
    """A band's record while its end is being looked for."""

    band: Band
    energy: Array
    """Running sum of the power, 0 first, (points + 1,)."""
    end_s: float
    """What lies behind is not used [s]."""
    warnings: list[Fact[DecayWarning]] = field(default_factory=list)
    cut_db: float | None = None
    """By how much what begins at `end_s` stands out; None where the record ends by itself [dB]."""
    bent: bool = False
    """Whether the last stretch ahead of `end_s` is itself no decay."""
    sinks: bool = False
    """Whether what ends the decay falls itself, too slowly for a coupled room's."""

    def end_at(self, at_s: float, over_db: float) -> None:
        """End the record ahead of what stands out by so much. [s], [dB]"""
        if at_s < self.end_s:
            self.end_s, self.cut_db = max(at_s, 0.0), over_db

    @property
    def least(self) -> float:
        """Power below which a block is rounding."""
        return ROUNDING * float(self.band.power.max())

    def index(self, t_s: Array) -> NDArray[np.int64]:
        """Points of the band at these times, none beyond its record."""
        band = self.band
        points = np.rint((t_s - band.offset_s) / band.dt_s) + band.start
        held: NDArray[np.int64] = np.clip(points, 0, band.stop).astype(np.int64)
        return held

    def means(self, edges_s: Array) -> tuple[Array, Array, Array]:
        """Middle, mean power and degrees of freedom of the blocks between the edges."""
        edges = self.index(edges_s)
        edges = edges[np.concatenate(([True], edges[1:] > edges[:-1]))]
        lengths = (edges[1:] - edges[:-1]).astype(np.float64)
        powers = np.maximum(
            (self.energy[edges[1:]] - self.energy[edges[:-1]]) / lengths, self.least
        )
        middles = 0.5 * (edges[1:] + edges[:-1]).astype(np.float64) - (0.5 + self.band.start)
        times: Array = self.band.dt_s * middles + self.band.offset_s
        freedom: Array = lengths * (self.band.dt_s * self.band.bandwidth_hz)
        return times, powers, freedom

    def patch(self, from_s: float, to_s: float, power: float) -> None:
        """Put a steady power in the place of a stretch."""
        a, b = (int(i) for i in self.index(np.array([from_s, to_s])))
        energy = self.energy
        step = power * (b - a) - (energy[b] - energy[a])
        energy[a : b + 1] = energy[a] + power * np.arange(b - a + 1)
        energy[b + 1 :] += step
