"""One band over all positions that have a number in it."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.analyse.band.kinds import DecayWarning, Reason
from roomcheck.facts import Estimate, Fact, Kind
from roomcheck.measure import Record


class MeanRemark(Kind):
    """What to know of a mean over positions."""

    ONE_POSITION = "one position"
    SOME_POSITIONS = "some positions"
    TAKES_DIFFER = "takes differ"
    SINGLE_MODES = "single modes"


@dataclass(frozen=True, slots=True, kw_only=True)
class BandMean:
    """One band over all positions that have a number in it.

    Every estimate holds the mean over the positions; twice its `u` to both sides holds the mean of
    the whole room in 95 % of cases (`analyse.visit.few_places`).
    """

    band_hz: float
    """Nominal mid-band frequency [Hz]."""
    edt: Estimate | None = None
    """Early decay time; this and every estimate below is None where no position has it [s]."""
    t20: Estimate | None = None
    """Reverberation time from the fit 5 to 25 dB down [s]."""
    t30: Estimate | None = None
    """Reverberation time from the fit 5 to 35 dB down [s]."""
    c50: Estimate | None = None
    """Clarity at 50 ms [dB]."""
    c80: Estimate | None = None
    """Clarity at 80 ms [dB]."""
    d50: Estimate | None = None
    """Definition, 0 to 1 [1]."""
    ts: Estimate | None = None
    """Centre time [s]."""
    remarks: tuple[Fact[MeanRemark], ...] = ()
    """What to know of the mean T20 as a mean."""
    withheld: tuple[Fact[Reason] | Fact[Record], ...] = ()
    """Why positions have no number: one for each kind, with its number of `cases`."""
    warnings: tuple[Fact[DecayWarning] | Fact[Record], ...] = ()
    """What to know of the numbers of the positions: one for each kind, with its `cases`."""

    @property
    def t20_s(self) -> float | None:
        """Mean T20. [s]"""
        return self.t20.value if self.t20 else None

    @property
    def t20_u_s(self) -> float | None:
        """Half of what to both sides of the mean T20 holds 95 %. [s]"""
        return self.t20.u if self.t20 else None

    @property
    def t20_over_places_u_s(self) -> float | None:
        """The same for the mean T20 over all places, where single modes rule and the decay of the
        room's energy is another. [s]"""
        ruled = [remark for remark in self.remarks if remark.kind is MeanRemark.SINGLE_MODES]
        return ruled[0].get("places_u_s") if ruled else self.t20_u_s

    @property
    def t20_spread_s(self) -> float | None:
        """Standard deviation of T20 over the positions. [s]"""
        return self.t20.spread if self.t20 else None

    @property
    def positions(self) -> int:
        """How many had a T20. [1]"""
        return self.t20.n if self.t20 else 0

    @property
    def facts(
        self,
    ) -> tuple[Fact[MeanRemark] | Fact[Reason] | Fact[DecayWarning] | Fact[Record], ...]:
        """Remarks, reasons, then warnings."""
        return (*self.remarks, *self.withheld, *self.warnings)

    @property
    def reasons(self) -> tuple[str, ...]:
        """`facts` as short texts; `roomcheck.words` has them as sentences."""
        return tuple(map(str, self.facts))

    def row(self) -> dict[str, float | int | None]:
        """Return the means as one flat row of a data frame: `t20_s`, `t20_u_s`, `t20_spread_s` …

        >>> band = BandMean(band_hz=500.0, t20=Estimate(value=0.5, u=0.02, n=6))
        >>> row = band.row()
        >>> row["band_hz"], row["t20_s"], row["t20_u_s"], row["positions"], row["c50_db"]
        (500.0, 0.5, 0.02, 6, None)
        """
        row: dict[str, float | int | None] = {"band_hz": self.band_hz, "positions": self.positions}
        for name, unit in UNITS.items():
            estimate: Estimate | None = getattr(self, name)
            row[f"{name}{unit}"] = estimate.value if estimate else None
            row[f"{name}_u{unit}"] = estimate.u if estimate else None
            row[f"{name}_spread{unit}"] = estimate.spread if estimate else None
        return row


UNITS = {"t20": "_s", "t30": "_s", "edt": "_s", "c50": "_db", "c80": "_db", "d50": "", "ts": "_s"}
"""The estimates of a `BandMean`, with the suffix of their unit."""
