"""What other people in the room do to a decay, taken off again."""

from __future__ import annotations

from dataclasses import dataclass, replace

from roomcheck.analyse import Analysis, BandDecay
from roomcheck.job import Job, Visit
from roomcheck.materials import absorption_of
from roomcheck.predict import PERSON

MID_HZ = (500.0, 1000.0)
SABINE_S_M = 0.161
"""24 ln 10 / c at 343 m/s. [s/m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Crowd:
    """How many more people one visit had than another."""

    more: int
    """Below 0 for fewer."""
    volume_m3: float
    """Of the room [m3]."""

    @classmethod
    def of(cls, job: Job, measured: Visit | None, wanted: Visit | None) -> Crowd:
        more = measured.people - wanted.people if measured and wanted else 0
        return cls(more=more, volume_m3=job.room.volume_m3)

    def without(self, t_s: float, band_hz: float) -> float | None:
        r"""The decay with the other visit's people in the room.

        Parameters
        ----------
        t_s : float
            Measured. [s]
        band_hz : float
            Nominal octave. [Hz]

        Returns
        -------
        float or None
            :math:`1/T' = 1/T - n\,A_1/(0.161\,V)` with n people more, each absorbing :math:`A_1`.
            None where the table gives no absorption of a person in this octave, or the people alone
            would absorb more than was measured. [s]

        References
        ----------
        Sabine's formula; the person is the row "person standing" of the materials table, with its
        source there.
        """
        if self.more == 0:
            return t_s
        area = absorption_of(PERSON).at(band_hz)
        if area is None:
            return None
        rate = 1 / t_s - self.more * area / (SABINE_S_M * self.volume_m3)
        return 1 / rate if rate > 0 else None

    def u_s(self, t_s: float, band_hz: float) -> float:
        """Standard uncertainty that taking them off adds to a decay of `t_s`. [s]"""
        u = absorption_of(PERSON).uncertainty_at(band_hz) or 0.0
        return t_s**2 * abs(self.more) * u / (SABINE_S_M * self.volume_m3)

    def share(self, t_s: float, band_hz: float) -> float:
        """How much of the decay the people make. [1]"""
        other = self.without(t_s, band_hz)
        return 0.0 if other is None else abs(other / t_s - 1)


def without_crowd(after: Analysis, crowd: Crowd) -> Analysis:
    """An analysis as if the other visit's people had been there; octaves without an answer keep
    theirs."""
    if crowd.more == 0:
        return after
    positions = []
    for position in after.positions:
        octaves = tuple(_band(band, crowd) for band in position.octaves)
        positions.append(replace(position, octaves=octaves))
    return replace(after, positions=tuple(positions))


def _band(band: BandDecay, crowd: Crowd) -> BandDecay:
    if band.t20_s is None:
        return band
    mended = crowd.without(band.t20_s, band.band_hz)
    return band if mended is None else replace(band, t20_s=mended)
