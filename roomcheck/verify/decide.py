"""Kept, not kept or undecided: limits with guard bands."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

from roomcheck.analyse import student_t
from roomcheck.facts import Estimate
from roomcheck.predict import Prediction
from roomcheck.verify.kinds import Kept
from roomcheck.verify.results import Verification
from roomcheck.verify.uncertainty import guard

KEPT_ERROR, BROKEN_ERROR = 0.05, 0.04
"""How often "kept" may be said of a broken promise, and "not kept" of a kept one, as a whole.
Simulated visits show the first well below 5 % (every value must pass) and the second near it, so
that one gets something to spare. [1]"""

MOST_PAIRS = 48
"""Beyond this many pairs nobody measures; the value then stands on its limit."""


def decide(
    value: float, low: float, high: float, *, guard_kept: float, guard_broken: float
) -> Kept:
    """Hold a measured value against its limits.

    Parameters
    ----------
    value, low, high : float
        Measured, and the limits as signed. [s]
    guard_kept : float
        Kept only where the value lies inside both limits by at least this. [s]
    guard_broken : float
        Not kept only where it lies outside one by more than this. [s]

    Examples
    --------
    >>> guards_s = {"guard_kept": 0.03, "guard_broken": 0.03}
    >>> [str(decide(x, 0.0, 0.60, **guards_s)) for x in (0.57, 0.58, 0.63, 0.64)]
    ['kept', 'undecided', 'undecided', 'not kept']

    References
    ----------
    Guarded acceptance and guarded rejection, JCGM 106:2012, from memory.
    """
    tiny = 1e-12  # 0.60 - 0.57 is a hair below 0.03 in binary
    inside = min(value - low, high - value)
    if inside >= guard_kept - tiny:
        return Kept.KEPT
    return Kept.NOT_KEPT if -inside > guard_broken + tiny else Kept.UNDECIDED


def guards(mean: Estimate, tests: int) -> tuple[float, float]:
    """Return the guards of one of `tests` promised values: (kept, not kept). [s]

    The promise as a whole is kept only where every value is: a broken promise passes only if its
    broken value does, so each may err that often. It is broken where any value is: there the errors
    add up, and each value gets its share of the whole (Bonferroni).
    """
    return guard(mean, KEPT_ERROR), guard(mean, BROKEN_ERROR / tests)


def overall(verdicts: tuple[Kept, ...]) -> Kept:
    """Decide on the promise as a whole by its values' verdicts."""
    promised = {verdict for verdict in verdicts if verdict != Kept.NOT_PROMISED}
    if not promised:
        return Kept.NOT_PROMISED
    for verdict in (Kept.NOT_KEPT, Kept.UNDECIDED):
        if verdict in promised:
            return verdict
    return Kept.KEPT


def more_pairs(mean: Estimate, low: float, high: float, tests: int) -> int | None:
    """Return how many more pairs would decide, if mean and scatter stayed as they are.

    Returns
    -------
    int or None
        None where even 48 pairs would not: the value stands on its limit.
    """
    inside = min(mean.value - low, high - mean.value)
    if mean.u is None or mean.freedom is None:
        return None
    for n in range(max(mean.n, 2) + 1, MOST_PAIRS + 1):
        kept, broken = guards(_over_pairs(mean, n), tests)
        if inside >= kept or -inside > broken:
            return n - mean.n
    return None


def _over_pairs(mean: Estimate, pairs: int) -> Estimate:
    """The same mean and scatter over so many pairs."""
    if mean.u is None or mean.freedom is None:
        return mean
    freedom = mean.freedom + pairs - mean.n
    fewer = student_t(0.975, freedom) / student_t(0.975, mean.freedom)
    u = mean.u * (mean.n / pairs) ** 0.5 * fewer
    return replace(mean, u=u, freedom=freedom, n=pairs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """How many were kept, and how many not."""

    kept: int
    not_kept: int
    undecided: int

    @property
    def promised(self) -> int:
        return self.kept + self.not_kept + self.undecided


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What the shop's promises have come to."""

    jobs: Tally
    values: Tally
    """Octaves and means with a promised range."""


def record(verifications: Iterable[Verification]) -> Record:
    """Count promises, whole jobs and single values."""
    found = tuple(verifications)
    jobs = Counter(one.kept for one in found)
    values = Counter(change.kept for one in found for change in one.changes)
    return Record(jobs=_tally(jobs), values=_tally(values))


def _tally(counts: Counter[Kept]) -> Tally:
    return Tally(
        kept=counts[Kept.KEPT],
        not_kept=counts[Kept.NOT_KEPT],
        undecided=counts[Kept.UNDECIDED],
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Foretold:
    """One octave, predicted and measured."""

    band_hz: float
    """Nominal mid-band frequency [Hz]."""
    likely_s: float
    """[s]"""
    low_s: float
    """[s]"""
    high_s: float
    """[s]"""
    measured_s: float
    """Mean T20 after, with as many people in the room as before [s]."""

    @property
    def inside(self) -> bool:
        """Whether the measured value lies in the predicted range."""
        return self.low_s <= self.measured_s <= self.high_s

    @property
    def off_pct(self) -> float:
        """How far the measured decay is above the likely one; below 0 where shorter. [%]"""
        return 100 * (self.measured_s / self.likely_s - 1)


def foretold(prediction: Prediction, verification: Verification) -> tuple[Foretold, ...]:
    """Every octave that was predicted with a range and measured again."""
    measured = {change.band_hz: change.after_s for change in verification.bands}
    found = []
    for band in prediction.after:
        after_s = measured.get(band.band_hz)
        if after_s is None or band.likely_s is None or band.low_s is None or band.high_s is None:
            continue
        found.append(
            Foretold(
                band_hz=band.band_hz,
                likely_s=band.likely_s,
                low_s=band.low_s,
                high_s=band.high_s,
                measured_s=after_s,
            )
        )
    return tuple(found)


def inside(values: Iterable[Foretold]) -> tuple[int, int]:
    """How many values lie in their range, and of how many."""
    all_values = tuple(values)
    return sum(value.inside for value in all_values), len(all_values)
