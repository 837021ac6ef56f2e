"""Version 0.1.0 knew less of how unsure a mean over few places is."""

from __future__ import annotations

import math
from statistics import fmean, stdev

import pytest

from roomcheck.analyse import student_t
from roomcheck.analyse.visit import few_places
from roomcheck.facts import Estimate


def _by_0_1_0(places, _own, _neighbours):
    """What the positions show or what chance alone gives, whichever is more."""
    n = len(places.values)
    spread = stdev(places.values) if n > 1 else None
    chance, shown = (places.known_sd or 0.0) / math.sqrt(n), (spread or 0.0) / math.sqrt(n)
    u, freedom = max(chance, shown), n - 1 + (2 if chance > shown else 0)
    return Estimate(value=fmean(places.values), u=u, spread=spread, n=n, freedom=freedom)


def _guard_by_0_1_0(mean, error):
    """`u` was the standard error."""
    return student_t(1 - error, mean.freedom) * mean.u


@pytest.fixture(scope="module", autouse=True)
def uncertainty_of_0_1_0():
    """Plans and verdicts follow from uncertainties: here from those that version 0.1.0 computed."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(few_places, "_estimate", _by_0_1_0)
        patch.setattr(few_places, "PLACES_DIFFER", 0.0)
        patch.setattr("roomcheck.verify.uncertainty.PLACES_DIFFER", 0.0)
        patch.setattr("roomcheck.verify.decide.guard", _guard_by_0_1_0)
        yield
