"""Background noise against what may be."""

from __future__ import annotations

from roomcheck.analyse.speech.results import NoiseLevel, NoiseOutcome
from roomcheck.facts import Fact, fact
from roomcheck.standards.targets.background import NoiseLimit


def against_limit(noise: NoiseLevel, limit: NoiseLimit) -> Fact[NoiseOutcome]:
    """Hold a noise level against a limit."""
    values = {"family": limit.family, "limit": float(limit.value), "source": limit.source}
    if not noise.absolute:
        return fact(NoiseOutcome.RELATIVE, **values)
    if limit.family == "dB(A)":
        level: float | None = noise.a_weighted_db
        beyond = None
    else:
        rating = noise.nc if limit.family == "NC" else noise.nr
        assert rating is not None
        # Past the end of the published curves the end stands for it, on its side.
        level, beyond = rating.end if rating.value is None else rating.value, rating.beyond
    assert level is not None
    over = beyond == "above" or (beyond is None and level > limit.value)
    outcome = NoiseOutcome.TOO_LOUD if over else NoiseOutcome.QUIET_ENOUGH
    return fact(outcome, level=float(level), beyond=beyond, **values)
