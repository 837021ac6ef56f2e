"""How the full prediction of a plan stands to the fast formula."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.predict import Prediction
from roomcheck.recommend.solver.site import Site

Real = NDArray[np.float64]

AGREED = 0.02
"""Predictions that differ by less are not corrected again. [1]"""


@dataclass(frozen=True, kw_only=True)
class Fit:
    """How the prediction of the latest plan stands to the fast formula: (bands,) each; NaN where
    there is none. [1]"""

    likely: Real
    low: Real
    high: Real
    mid: tuple[float, float, float] | None

    @classmethod
    def of(cls, site: Site, prediction: Prediction, added_m2: Real) -> Fit:
        fast = site.room.after_s(np.nan_to_num(added_m2))
        by_band = {band.band_hz: band for band in prediction.after}

        def ratio(end: str) -> Real:
            found = [getattr(by_band.get(hz), end, None) for hz in site.bands_hz]
            return np.array([np.nan if v is None else v for v in found], dtype=float) / fast

        ends, middle = mid_of(prediction, site.verdict.target.mid_bands_hz), mid_s(site, fast)
        return cls(
            likely=ratio("likely_s"),
            low=ratio("low_s"),
            high=ratio("high_s"),
            mid=None
            if ends is None or middle is None
            else (ends[0] / middle, ends[1] / middle, ends[2] / middle),
        )

    def stretched(self, by: float) -> Fit:
        """The same likely values with ends so many times as far away in the logarithm: what a plan
        is made for that shall reach the target more or less surely."""
        mid = self.mid
        if mid is not None:
            low, likely, high = mid
            mid = (likely * (low / likely) ** by, likely, likely * (high / likely) ** by)
        return Fit(
            likely=self.likely,
            low=self.likely * (self.low / self.likely) ** by,
            high=self.likely * (self.high / self.likely) ** by,
            mid=mid,
        )

    def spans(self, other: Fit) -> bool:
        """Whether a prediction's range is no wider than this one's, and its likely values are
        alike."""
        alike = np.nanmax(np.abs(other.likely / self.likely - 1), initial=0.0) < AGREED
        low = np.nanmin(other.low / self.low, initial=1.0) > 1 - AGREED
        return bool(alike and low and np.nanmax(other.high / self.high, initial=1.0) < 1 + AGREED)

    def wary(self, other: Fit) -> Fit:
        """This one's likely values with the wider ends of both: for a plan that will not settle."""
        ends = None
        if self.mid is not None and other.mid is not None:
            ends = (min(self.mid[0], other.mid[0]), self.mid[1], max(self.mid[2], other.mid[2]))
        low, high = np.fmin(self.low, other.low), np.fmax(self.high, other.high)
        return Fit(likely=self.likely, low=low, high=high, mid=ends or self.mid)

    def agrees(self, other: Fit) -> bool:
        """Whether two predictions stand to the fast formula alike in every band."""
        pairs = ((self.likely, other.likely), (self.low, other.low), (self.high, other.high))
        return all(np.nanmax(np.abs(b / a - 1), initial=0.0) < AGREED for a, b in pairs)


def bare_fit(site: Site) -> Fit:
    """Of the room as it is."""
    return Fit.of(site, site.full(()), np.zeros(len(site.bands_hz)))


def mid_of(
    prediction: Prediction, bands_hz: tuple[float, ...]
) -> tuple[float, float, float] | None:
    """Low end, likely value and high end of the mean over the target's mid bands; None where one is
    missing. [s]

    Over other bands than those of the prediction's own mean the ends are averaged, as if the bands
    were wrong together: never narrower.
    """
    if bands_hz == prediction.mid_bands_hz:
        low, likely, high = prediction.mid_low_s, prediction.mid_likely_s, prediction.mid_high_s
        return None if low is None or likely is None or high is None else (low, likely, high)
    bands = [band for band in prediction.after if band.band_hz in bands_hz]
    ends = [(b.low_s, b.likely_s, b.high_s) for b in bands]
    if len(bands) < len(bands_hz) or any(end is None for three in ends for end in three):
        return None
    low, likely, high = (float(np.mean([three[k] for three in ends])) for k in range(3))
    return low, likely, high


def mid_s(site: Site, decay_s: Real) -> float | None:
    """Mean over the target's mid bands; None where one is missing. [s]"""
    at = [site.bands_hz.index(hz) for hz in site.verdict.target.mid_bands_hz]
    value = float(np.mean(decay_s[at]))
    return value if np.isfinite(value) else None
