"""The verdict in one plain sentence."""

from __future__ import annotations

from roomcheck.judge.limits.decide import COVERAGE, nearest
from roomcheck.judge.results import BandVerdict, Finding
from roomcheck.standards import Target
from roomcheck.units import band_name, digits_against_limit


def headline(
    target: Target,
    bands: tuple[BandVerdict, ...],
    mid: BandVerdict,
    found: tuple[Finding, ...],
    *,
    own: bool = False,
) -> str:
    """What a client wants to know first."""
    for_what = "by the target agreed for it" if own else f"for {_article(target.key)}"
    value = mid.value_s
    if value is None or mid.outcome in ("not measured", "modal"):
        return f"No verdict on the room {for_what}: {mid.reason[:1].lower()}{mid.reason[1:]}"
    if mid.outcome == "too long" and mid.high_s is not None:
        said, bound = digits_against_limit(value, mid.high_s)
        return f"Sound hangs on too long {for_what}: {said} s, where {bound} s is the most."
    if mid.outcome == "too short" and mid.low_s is not None:
        said, bound = digits_against_limit(value, mid.low_s)
        return (
            f"The room is too dead {for_what}: sound dies in {said} s, where {bound} s is the "
            "least."
        )
    if mid.outcome == "undecided":
        said, bound = digits_against_limit(value, nearest(value, mid.low_s, mid.high_s))
        spread = "" if mid.u_s is None else f" ± {COVERAGE * mid.u_s:.2g} s"
        return f"Too close to call {for_what}: {said} s{spread} against a limit of {bound} s."
    return _right_so_far(target, bands, mid, found, for_what)


def _right_so_far(
    target: Target,
    bands: tuple[BandVerdict, ...],
    mid: BandVerdict,
    found: tuple[Finding, ...],
    for_what: str,
) -> str:
    length = f"{_inside(mid)} {for_what}"
    missed = [b for b in bands if b.outcome in ("too long", "too short")]
    if missed:
        names = ", ".join(f"{band_name(b.band_hz)} ({b.outcome})" for b in missed)
        return f"On the whole sound dies as it should, {length}, but not in every band: {names}."
    if found:
        return (
            f"Sound dies as it should, {length}, yet something else is to be heard: "
            f"{_lower(found[0].title)}."
        )
    close = [b for b in bands if b.outcome in ("undecided", "not measured") and _has_limit(b)]
    if close:
        names = ", ".join(f"{band_name(b.band_hz)}" for b in close)
        return (
            f"Nothing wrong was found here: sound dies as it should, {length}; no verdict at "
            f"{names}."
        )
    return f"Nothing is wrong here: sound dies as it should, {length}."


def _inside(mid: BandVerdict) -> str:
    value = 0.0 if mid.value_s is None else mid.value_s
    if mid.low_s is None and mid.high_s is None:
        return f"{value:.2f} s"
    said, bound = digits_against_limit(value, nearest(value, mid.low_s, mid.high_s))
    if mid.low_s is None or mid.high_s is None:
        return f"{said} s (limit {bound} s)"
    low, high = (
        digits_against_limit(value, mid.low_s)[1],
        digits_against_limit(value, mid.high_s)[1],
    )
    return f"{said} s (between {low} and {high} s)"


def _has_limit(band: BandVerdict) -> bool:
    return band.low_s is not None or band.high_s is not None


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:].rstrip(".")


def _article(name: str) -> str:
    return f"{'an' if name[:1].lower() in 'aeiou' else 'a'} {name}"
