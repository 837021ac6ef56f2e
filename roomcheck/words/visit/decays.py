"""Why a decay is withheld, and what to know of one, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from roomcheck.analyse import BandMean, DecayWarning, MeanRemark, Reason
from roomcheck.facts import Fact
from roomcheck.units import band_name
from roomcheck.words.numbers import beside, heading, with_limit
from roomcheck.words.reader import Reader
from roomcheck.words.saying import register, sentence

LEFT_TO_LENGTH = 16
"""A sweep more than this many times as long is no advice any more. [1]"""


def louder(lacking_db: float) -> str:
    """What gives so many decibels more.

    >>> louder(4.2)
    'play 5 dB louder, or use a sweep 4 times as long'
    """
    factor = 2 ** math.ceil(lacking_db / 3)
    longer = f"a sweep {factor} times as long" if factor <= LEFT_TO_LENGTH else "a quieter hour"
    return f"play {math.ceil(lacking_db)} dB louder, or use {longer}"


def band_sentences(mean: BandMean, reader: Reader) -> tuple[str, ...]:
    """What is withheld and what to know of one band's mean, each with its band and its cases."""
    lines = []
    for fact in mean.facts:
        cases = fact.get("cases", 1)
        alike = f" ({cases} similar cases)" if cases > 1 else ""
        lines.append(f"{band_name(mean.band_hz)}: {sentence(fact, reader)}{alike}")
    return tuple(lines)


def bands_sentences(means: Sequence[BandMean], reader: Reader) -> tuple[str, ...]:
    """The same of several bands: one line a reason, with the figures of the band named first: of
    the one that lacks most, where something is lacking, so that its advice mends them all."""
    alike: dict[tuple[object, ...], list[tuple[float, Fact[Any]]]] = {}
    for mean in means:
        for fact in mean.facts:
            alike.setdefault(_same_reason(fact), []).append((mean.band_hz, fact))
    return tuple(_over_bands(found, reader) for found in alike.values())


def _same_reason(fact: Fact[Any]) -> tuple[object, ...]:
    """What facts must have in common to stand in one line: all but what was measured."""
    words = (value for name, value in fact.values if not isinstance(value, float | int))
    upwards = fact.get("curvature_pct", 0.0) > 0
    others = (fact.get(name) for name in ("neighbour_hz", "leans_long", "modes"))
    return (fact.kind, upwards, *others, *words)


def _over_bands(found: Sequence[tuple[float, Fact[Any]]], reader: Reader) -> str:
    worst = max(found, key=lambda one: one[1].get("lacking_db", 0.0))
    first_hz, first = worst
    others = [one for one in found if one is not worst]
    cases = first.get("cases", 1)
    more = [f"{cases} similar cases"] if cases > 1 else []
    if others:
        more.append("likewise " + ", ".join(_band_and_cases(hz, fact) for hz, fact in others))
    tail = f" ({'; '.join(more)})" if more else ""
    return f"{band_name(first_hz)}: {sentence(first, reader)}{tail}"


def _band_and_cases(band_hz: float, fact: Fact[Any]) -> str:
    cases = fact.get("cases", 1)
    return f"{band_name(band_hz)} ({cases} cases)" if cases > 1 else band_name(band_hz)


def _no_range(
    _: Reader,
    *,
    range_db: float,
    edt_needs_db: float,
    t20_needs_db: float,
    t30_needs_db: float,
    lacking_db: float,
    **_more: object,
) -> str:
    range_, needed = with_limit(range_db, edt_needs_db, upper=False, digits=0)
    return (
        f"Peak to noise is {range_} dB; EDT, clarity and centre time need {needed} dB, T20 "
        f"{t20_needs_db:.0f} dB, T30 {t30_needs_db:.0f} dB: for T20, {louder(lacking_db)}."
    )


def _range_too_small(
    _: Reader,
    *,
    number: str,
    needed_db: float,
    range_db: float,
    lacking_db: float,
    **_more: object,
) -> str:
    range_ = beside(range_db, low=needed_db, digits=1)
    lack = beside(lacking_db, low=0.0, digits=1)
    return (
        f"{number} needs {needed_db:.0f} dB from peak to noise; there are {range_} dB, "
        f"{lack} dB too few: {louder(lacking_db)}."
    )


def _sinks(
    _: Reader,
    *,
    number: str,
    to_db: float,
    floor_db: float,
    lacking_db: float,
    **_more: object,
) -> str:
    return (
        f"{number} is fitted down to {to_db:.0f} dB, but the decay meets the noise or the end of "
        f"the record at {floor_db:.0f} dB: {louder(lacking_db)}, and record until the room is "
        "silent."
    )


def _disturbed(
    _: Reader,
    *,
    at_s: float,
    down_db: float,
    number: str = "",
    modes: bool = False,
    **_more: object,
) -> str:
    what = f"{number}: {_begins(at_s, modes)}" if number else heading(_begins(at_s, modes))
    return (
        f"{what}, {down_db:.0f} dB below the peak, and what is ahead of it is too little; take it "
        "again in a quiet moment."
    )


def _disturbed_later(
    _: Reader,
    *,
    at_s: float,
    down_db: float,
    over_db: float,
    modes: bool = False,
    **_more: object,
) -> str:
    return (
        f"{heading(_begins(at_s, modes))}, {down_db:.0f} dB below the peak ({over_db:.0f} dB out "
        "of the decay); the fit ends ahead of it."
    )


def _begins(at_s: float, modes: bool) -> str:
    beat = ", or two modes that beat," if modes else ""
    return f"something other than the room's decay{beat} begins {at_s:.2f} s after the direct sound"


def _bends(_: Reader, *, curvature_pct: float, limit_pct: float, **_more: object) -> str:
    value, limit = with_limit(abs(curvature_pct), limit_pct, upper=True, digits=0)
    sign = "−" if curvature_pct < 0 else ""
    why = (
        "late sound dies more slowly than early sound, as with coupled rooms, bare parallel walls "
        "or a neighbouring band that rings"
        if curvature_pct > 0
        else "the decay falls faster at its end"
    )
    return f"The decay bends: curvature {sign}{value} %, limit {limit} %; {why}."


def _not_straight(
    _: Reader,
    *,
    number: str,
    non_linearity_permille: float,
    limit_permille: float,
    **_more: object,
) -> str:
    value, limit = with_limit(non_linearity_permille, limit_permille, upper=True, digits=0)
    return f"{number}: non-linearity is {value} permille, limit {limit}: the decay is not straight."


def _some_positions(
    _: Reader, *, positions: int, pairs: int, leans_long: bool, **_more: object
) -> str:
    leans = (
        " Those left out were too short for the filter, so this mean leans long."
        if leans_long
        else ""
    )
    return f"T20 from {positions} of {pairs} positions.{leans}"


_LEAK = (
    "Energy at {neighbour_hz:band} leaks into this band: the whole band dies away in "
    "{whole_s:.2f} s, its middle alone in {middle_s:.2f} s."
)

register(
    {
        Reason.SILENCE: "Silence: the record holds no sound at all.",
        Reason.RATE_TOO_LOW: "A rate of {rate_hz} Hz does not carry this band; record at 48 kHz.",
        Reason.RECORD_TOO_SHORT: (
            "The record ends {length_s:.3f} s after the direct sound, too soon for the filter of "
            "this band; keep recording until the room is silent."
        ),
        Reason.NO_DECAY: (
            "No decay is visible in this band: nothing falls from its peak into the noise."
        ),
        Reason.NO_RANGE: _no_range,
        Reason.RANGE_TOO_SMALL: _range_too_small,
        Reason.SINKS_INTO_NOISE: _sinks,
        Reason.DISTURBED: _disturbed,
        Reason.OTHERS_BROKEN: (
            "T20 and T30: the decay bends, and most of the wider bands show that something other "
            "than the room's decay is in this record; take it again in a quiet moment."
        ),
        Reason.NOT_FALLING: (
            "{number}: the recording does not fall from one end of the fit to the other."
        ),
        Reason.NOT_A_LINE: (
            "{number}: the recording does not fall along a line (non-linearity "
            "{non_linearity_permille:.0f} permille): it is no single decay, or the band has too "
            "few independent samples; average more positions."
        ),
        Reason.FILTER_LIMITED: (
            "{number} would be {decay_s:.3f} s, bandwidth times decay {bt:.1f}; below "
            "{needed_bt:.0f} the filter decides it more than the room does. Use the octave instead "
            "of the third, or judge the band by its modes."
        ),
        Reason.FILTERS_DIFFER: (
            "{number}: two filters that both keep class 1 give {decay_s:.3f} and "
            "{other_decay_s:.3f} s; the band has too few independent samples for one number. "
            "Average more positions, or use the octave instead of the third."
        ),
        Reason.FILTER_ALONE: (
            "The sound is gone as fast as the filter of this band rings ({decay_s:.3f} s, "
            "bandwidth times decay {bt:.1f}): the room's own decay is shorter than can be measured "
            "here."
        ),
        Reason.DIRECT_SOUND: (
            "EDT: the first 10 dB fall as fast as the filter of this band rings ({decay_s:.3f} s); "
            "the direct sound outweighs the room."
        ),
        Reason.NO_LATE_ENERGY: (
            "Clarity and centre time: too little stands above the noise after 50 or 80 ms."
        ),
        Reason.NEIGHBOUR: (
            f"{_LEAK} No filter of class 1 separates them; treat the neighbouring band first and "
            "measure again."
        ),
        Reason.RECORD_BAND: (
            "The record carries {low_hz:g} to {high_hz:g} Hz; record a sweep for this band."
        ),
        Reason.NEEDS_SWEEP: "EDT, clarity, definition and centre time need a sweep.",
        DecayWarning.FEW_SAMPLES: (
            "Bandwidth times decay is {bt:.1f}: zero-phase filters serve down to "
            "{zero_phase_bt:.0f}, forward ones would need {forward_bt:.0f}; the band has few "
            "independent samples."
        ),
        DecayWarning.BENDS: _bends,
        DecayWarning.NOT_STRAIGHT: _not_straight,
        DecayWarning.NEIGHBOUR: _LEAK,
        DecayWarning.NOISE_RISES: (
            "The noise rises by {rise_db:.0f} dB from {from_s:.2f} s after the direct sound on; "
            "the record is used up to there."
        ),
        DecayWarning.NOISE_FALLS: (
            "The noise falls by {fall_db:.0f} dB from {from_s:.2f} s after the direct sound on; it "
            "is not steady."
        ),
        DecayWarning.CLICK: "A click at {at_s:.2f} s was ignored.",
        DecayWarning.DISTURBED: _disturbed_later,
        DecayWarning.TWO_SLOPES: (
            "The decay has two slopes, as coupled rooms have: {early_s:.2f} s, and from "
            "{meet_db:.0f} dB on {late_s:.2f} s; T20 and T30 are fits across both."
        ),
        DecayWarning.FAR_APART: (
            "Two decays far apart: {early_s:.2f} s, and from {meet_db:.0f} dB on {late_s:.2f} s, "
            "as a room beyond a door has, or a noise that runs out."
        ),
        DecayWarning.STEADY_TONE: (
            "The noise in this band is a steady tone, such as mains hum; find it and switch it off."
        ),
        MeanRemark.ONE_POSITION: "One position: the spread over the room is not known.",
        MeanRemark.SOME_POSITIONS: _some_positions,
        MeanRemark.TAKES_DIFFER: (
            "Takes at one place disagree: T20 {odd_s:.2f} s in one, {sisters_s:.2f} s in the "
            "middle of all; the odd one counts less. Look for what disturbed it, or take it again."
        ),
        MeanRemark.SINGLE_MODES: (
            "Single modes rule this octave (below {transition_hz:.0f} Hz): the mean of the places' "
            "T20 is up to {longer_pct:.0f} % longer than T20 of their mean energy. The ± "
            "allows for it."
        ),
    }
)
