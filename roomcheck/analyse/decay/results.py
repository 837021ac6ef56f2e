"""How sound dies away at one position, and why a number is withheld."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.analyse.band.kinds import DecayWarning, Reason
from roomcheck.analyse.band.results import TwoSlopes
from roomcheck.facts import Fact
from roomcheck.measure import Record


@dataclass(frozen=True, slots=True, kw_only=True)
class BandDecay:
    """How sound dies away in one band at one position."""

    band_hz: float
    """Nominal mid-band frequency [Hz]."""
    edt_s: float | None
    """Early decay time; this and every number below is None where `withheld` says why [s]."""
    t20_s: float | None
    """Reverberation time from the fit 5 to 25 dB down [s]."""
    t30_s: float | None
    """Reverberation time from the fit 5 to 35 dB down [s]."""
    t20_sd_s: float | None
    """Standard deviation of T20 at one position, ISO 3382-2:2008, Annex A [s]."""
    t30_sd_s: float | None
    """The same of T30 [s]."""
    c50_db: float | None
    """Clarity, energy before over energy after 50 ms [dB]."""
    c80_db: float | None
    """Clarity at 80 ms [dB]."""
    d50: float | None
    """Definition, share of the energy before 50 ms, 0 to 1 [1]."""
    ts_s: float | None
    """Centre time [s]."""
    range_db: float | None
    """Peak to noise [dB]."""
    curvature_pct: float | None
    """100 (T30/T20 - 1), ISO 3382-2:2008, Annex B [%]."""
    withheld: tuple[Fact[Reason] | Fact[Record], ...] = ()
    """Why there is None above."""
    warnings: tuple[Fact[DecayWarning] | Fact[Record], ...] = ()
    """What to know of the numbers that are there."""
    c50_sd_db: float | None = None
    """Standard deviation of C50 that chance alone gives at one position [dB]."""
    c80_sd_db: float | None = None
    """The same of C80 [dB]."""
    d50_sd: float | None = None
    """The same of D50 [1]."""
    ts_sd_s: float | None = None
    """The same of the centre time [s]."""
    edt_sd_s: float | None = None
    """The same of EDT [s]."""
    two_slopes: TwoSlopes | None = None
    """Both decays where the record has two, as coupled rooms do; EDT, T20 and T30 are then fits
    across their bend."""
    bt: float | None = None
    """Bandwidth times T30, or T20 where there is none: filters run forward serve from 16 on,
    zero-phase ones from 8 [1]."""

    @property
    def reasons(self) -> tuple[str, ...]:
        """Reasons, then warnings, as short texts; `roomcheck.words` has them as sentences."""
        return tuple(map(str, (*self.withheld, *self.warnings)))


def no_numbers(band_hz: float, range_db: float | None, reason: Fact[Reason]) -> BandDecay:
    """A band that has none, and why."""
    return BandDecay(
        band_hz=band_hz,
        edt_s=None,
        t20_s=None,
        t30_s=None,
        t20_sd_s=None,
        t30_sd_s=None,
        c50_db=None,
        c80_db=None,
        d50=None,
        ts_s=None,
        range_db=range_db,
        curvature_pct=None,
        withheld=(reason,),
    )
