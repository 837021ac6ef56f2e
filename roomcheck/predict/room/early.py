"""What the early decay says of how much a room scatters.

Where one surface absorbs far more than the rest and little is scattered, sound dies away fast at
first and slowly once only the paths between bare walls are left: the early decay time is well below
T20, and the simulation says by how much at each scattering. Where all surfaces absorb alike both
agree at any scattering, and nothing is learned. So a room typed soft on one side that measures long
is told from one that really is: a soft ceiling and mirrors for walls would bend its decay.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Analysis, BandMean, MeanRemark

Real = NDArray[np.float64]

EARLY_SD, EARLY_SHARE = 0.05, 0.2
"""Standard deviation of the simulated ratio of early decay to T20, and how much of its logarithm is
added: held against rooms traced by particles (`benchmarks/ranges.py`). [log], [1]"""
_CORRELATION = 0.8
"""Between octaves, as of the model's other errors. [1]"""
_TRUST = 0.95
"""How likely the early decay is what the model means at all: a loudspeaker that points at the
microphone, or a surface unlike the others, may make another one (a judgement). [1]"""
_OTHERWISE_SD = 0.25
"""Where it is not: standard deviation of the early decay over T20 (a judgement; in traced rooms of
all kinds it lies at -0.16 with 0.21). [log]"""
_LEAST_PLACES = 2
"""At a single place one strong reflection may make the early decay."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EarlyDecays:
    """Measured ratios of early decay to T20 beside the simulated ones, at each scattering."""

    log_density: Real
    """(scatterings,): log of how likely the measured ones are, but for a constant [1]."""
    log_otherwise: float
    """The same where they are not what the model means [1]."""
    count: int
    """Octaves that were compared."""

    def weighed(self, weights: Real) -> Real:
        """How likely each scattering is, `weights` before anything is known. (scatterings,) [1]

        Early decays that fit no scattering say nothing of it; the better one fits, the more.
        """
        meant, otherwise = (
            np.log(_TRUST) + self.log_density,
            np.log(1 - _TRUST) + self.log_otherwise,
        )
        logs = np.logaddexp(meant, otherwise)
        shares = weights * np.exp(logs - logs.max())
        return np.asarray(shares / shares.sum())


def no_early_decays(scatterings: int) -> EarlyDecays:
    return EarlyDecays(log_density=np.zeros(scatterings), log_otherwise=0.0, count=0)


def measured_early(analysis: Analysis | None, bands: tuple[float, ...]) -> tuple[Real, Real]:
    """Log of the mean early decay time over the mean T20 of each octave and its standard
    uncertainty, (bands,) each; NaN where the two are not known at the same places, at two or more,
    above the transition frequency. [log]"""
    ratio, u = np.full(len(bands), np.nan), np.full(len(bands), np.nan)
    for i, band_hz in enumerate(bands):
        mean = analysis.octave(band_hz) if analysis else None
        if analysis is None or mean is None or not _comparable(analysis, mean):
            continue
        early, late = mean.edt, mean.t20
        assert early is not None and late is not None
        ratio[i] = np.log(early.value / late.value)
        u[i] = np.hypot((early.u or 0.0) / early.value, (late.u or 0.0) / late.value)
    return ratio, u


def _comparable(analysis: Analysis, mean: BandMean) -> bool:
    early, late = mean.edt, mean.t20
    if early is None or late is None or early.u is None or late.u is None:
        return False
    modal = analysis.is_modal(mean.band_hz)
    modal = modal or any(each.kind is MeanRemark.SINGLE_MODES for each in mean.remarks)
    return not modal and early.n == late.n >= _LEAST_PLACES


def early_decays(measured: Real, spread: Real, simulated: Real) -> EarlyDecays:
    """Compare.

    Parameters
    ----------
    measured, spread : (bands,)
        Log of early decay time over T20 and its standard uncertainty; NaN where there is none.
        [log]
    simulated : (scatterings, bands)
        The same as simulated; NaN where there is none. [log]
    """
    has = np.isfinite(measured) & np.isfinite(simulated).all(axis=0)
    count = int(has.sum())
    if not count:
        return no_early_decays(len(simulated))
    logs = np.empty(len(simulated))
    for i, ratio in enumerate(simulated[:, has]):
        sd = np.hypot(EARLY_SD, EARLY_SHARE * ratio)
        logs[i] = _log_density(measured[has] - ratio, sd, spread[has])
    otherwise = _log_density(measured[has], np.full(count, _OTHERWISE_SD), spread[has])
    return EarlyDecays(log_density=logs, log_otherwise=otherwise, count=count)


def _log_density(off: Real, sd: Real, spread: Real) -> float:
    """But for a constant; the model's `sd` alike in all octaves but for a fifth. [1]"""
    alike = _CORRELATION + (1 - _CORRELATION) * np.eye(len(off))
    S = alike * np.outer(sd, sd) + np.diag(spread**2)
    return float(-0.5 * (off @ np.linalg.solve(S, off) + np.linalg.slogdet(S)[1]))
