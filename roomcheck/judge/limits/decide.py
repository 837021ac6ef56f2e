"""One value against its limits, before rounding."""

from __future__ import annotations

from roomcheck.judge.results import BandVerdict, Outcome
from roomcheck.standards import BandLimit
from roomcheck.units import band_name, digits_against_limit

COVERAGE = 2.0
"""A value counts as beyond a limit, or inside it, only by twice its standard uncertainty: about 95
%."""


def decide(value_s: float, u_s: float | None, low_s: float | None, high_s: float | None) -> Outcome:
    """Where a decay lies, with guard bands on both sides of each limit.

    Parameters
    ----------
    value_s, u_s : float, float or None
        Mean and its standard uncertainty; without one nothing is decided. [s]
    low_s, high_s : float or None
        [s]

    Returns
    -------
    Outcome
        "within", "too long", "too short", "undecided" or "no limit".

    References
    ----------
    Guarded acceptance and guarded rejection after JCGM 106:2012, from memory.

    Examples
    --------
    >>> [decide(t, 0.015, None, 0.60) for t in (0.56, 0.59, 0.64)]
    ['within', 'undecided', 'too long']
    """
    if low_s is None and high_s is None:
        return "no limit"
    if u_s is None:
        return "undecided"
    guard, hair = COVERAGE * u_s, 1e-12
    if high_s is not None and value_s > high_s + guard + hair:
        return "too long"
    if low_s is not None and value_s < low_s - guard - hair:
        return "too short"
    short_of_high = high_s is None or value_s <= high_s - guard + hair
    above_low = low_s is None or value_s >= low_s + guard - hair
    return "within" if short_of_high and above_low else "undecided"


def band_verdict(
    band_hz: float,
    value_s: float | None,
    u_s: float | None,
    limit: BandLimit | None,
    *,
    transition_hz: float | None,
    why_none: str = "",
) -> BandVerdict:
    """One octave. Below the transition frequency nothing is judged, and the limits stand beside the
    decay."""
    low_s, high_s = (limit.low_s, limit.high_s) if limit else (None, None)
    outcome, reason = _outcome(band_hz, value_s, u_s, low_s, high_s, transition_hz, why_none)
    return BandVerdict(
        band_hz=band_hz,
        value_s=value_s,
        u_s=u_s,
        low_s=low_s,
        high_s=high_s,
        outcome=outcome,
        reason=reason,
    )


def _outcome(
    band_hz: float,
    value_s: float | None,
    u_s: float | None,
    low_s: float | None,
    high_s: float | None,
    transition_hz: float | None,
    why_none: str,
) -> tuple[Outcome, str]:
    name = f"{band_name(band_hz)}"
    if value_s is None:
        return "not measured", why_none or f"{name}: no decay time was measured."
    if transition_hz is not None and band_hz < transition_hz:
        return "modal", (
            f"{name} lies below the transition frequency, {transition_hz:.0f} Hz: single modes "
            "ring there, so the decay is shown and not judged."
        )
    outcome = decide(value_s, u_s, low_s, high_s)
    return outcome, why(outcome, value_s, u_s, low_s, high_s)


def why(
    outcome: Outcome, value_s: float, u_s: float | None, low_s: float | None, high_s: float | None
) -> str:
    """The sentence behind an outcome; empty where it needs none."""
    if outcome == "too long" and high_s is not None:
        said, bound = digits_against_limit(value_s, high_s)
        return f"{said} s, at most {bound} s."
    if outcome == "too short" and low_s is not None:
        said, bound = digits_against_limit(value_s, low_s)
        return f"{said} s, at least {bound} s."
    if outcome == "undecided":
        if u_s is None:
            return "No uncertainty is known for it; measure at one position more."
        near = nearest(value_s, low_s, high_s)
        said, bound = digits_against_limit(value_s, near)
        return (
            f"{said} s ± {COVERAGE * u_s:.2g} s is too close to {bound} s to call; more positions "
            "would tell."
        )
    return ""


def nearest(value_s: float, low_s: float | None, high_s: float | None) -> float:
    """The limit that a value stands closest to. [s]"""
    return min(
        (limit for limit in (low_s, high_s) if limit is not None),
        key=lambda limit: abs(limit - value_s),
    )
