"""A room against its target, in one sentence, and its outcomes in a word."""

from __future__ import annotations

from roomcheck.judge import BandVerdict, Judged, MeanNote, Outcome, Verdict
from roomcheck.units import band_name
from roomcheck.words.numbers import beside, limit_text, with_limit
from roomcheck.words.reader import Reader
from roomcheck.words.saying import joined, register, sentence
from roomcheck.words.verdicts.findings import finding_title
from roomcheck.words.verdicts.phrases import band_names, give_or_take, people

register(
    {
        Outcome.WITHIN: "within limits",
        Outcome.TOO_LONG: "too long",
        Outcome.TOO_SHORT: "too short",
        Outcome.UNDECIDED: "too close to call",
        Outcome.NOT_MEASURED: "not measured",
        Outcome.MODAL: "single modes",
        Outcome.NO_LIMIT: "no limit",
    }
)


def verdict_sentence(verdict: Verdict, reader: Reader) -> str:
    """Say first what a client wants to know, with what people make of the limits."""
    main = _main(verdict, reader)
    carried = verdict.limits_carried
    return f"{main} {sentence(carried, reader)}" if carried else main


def _main(verdict: Verdict, reader: Reader) -> str:
    mid, use = verdict.mid, _for_what(verdict)
    value = mid.value_s
    if value is None or mid.outcome in (Outcome.NOT_MEASURED, Outcome.MODAL):
        why = sentence(mid.notes[0], reader)
        return f"No verdict on the room {use}: {why[:1].lower()}{why[1:]}"
    if mid.outcome == Outcome.TOO_LONG and mid.high_s is not None:
        decay, limit = with_limit(value, mid.high_s, upper=True)
        return f"Sound lingers too long {use}: {decay} s, where {limit} s is the most."
    if mid.outcome == Outcome.TOO_SHORT and mid.low_s is not None:
        decay, limit = with_limit(value, mid.low_s, upper=False)
        return (
            f"The room is too dead {use}: sound dies away in {decay} s, where {limit} s is the "
            "least."
        )
    if mid.outcome == Outcome.UNDECIDED:
        limit_s, which = nearest(mid)
        decay, limit = with_limit(value, limit_s, upper=which == "upper")
        spread = give_or_take(mid.u_s)
        return f"Too close to call {use}: {decay} s{spread} against the {which} limit of {limit} s."
    return _right_so_far(verdict, reader, f"{_inside(mid)} {use}")


def _right_so_far(verdict: Verdict, reader: Reader, length: str) -> str:
    missed = [b for b in verdict.bands if b.outcome in (Outcome.TOO_LONG, Outcome.TOO_SHORT)]
    if missed:
        names = joined([f"{band_name(b.band_hz)} ({b.outcome})" for b in missed])
        return (
            f"On the whole sound dies away as it should, {length}, but not in every band: {names}."
        )
    if verdict.findings:
        problem = _in_a_sentence(finding_title(verdict.findings[0], reader))
        return f"Sound dies away as it should, {length}, but another problem was found: {problem}."
    close = [b.band_hz for b in verdict.bands if _is_open(b)]
    if close:
        return (
            f"Nothing is wrong here as far as it was judged: sound dies away as it should, "
            f"{length}; no verdict at {band_names(close)}."
        )
    return f"Nothing is wrong here: sound dies away as it should, {length}."


def _is_open(band: BandVerdict) -> bool:
    return band.has_limit and band.outcome in (Outcome.UNDECIDED, Outcome.NOT_MEASURED)


def _inside(mid: Judged) -> str:
    value = mid.value_s or 0.0
    if not mid.has_limit:
        return f"{value:.2f} s"
    decay = beside(value, mid.low_s, mid.high_s)
    return f"{decay} s ({limit_words(mid.low_s, mid.high_s, value)} wanted)"


def nearest(judged: Judged) -> tuple[float, str]:
    """Return the limit that a value stands closest to, and which of the two it is. [s]"""
    ends = [(judged.low_s, "lower"), (judged.high_s, "upper")]
    known = [(limit_s, which) for limit_s, which in ends if limit_s is not None]
    value_s = judged.value_s or 0.0
    return min(known, key=lambda end: abs(end[0] - value_s))


def _for_what(verdict: Verdict) -> str:
    if verdict.agreed:
        return "by the target agreed for it"
    key = verdict.target.key
    return f"for {'an' if key[:1].lower() in 'aeiou' else 'a'} {key}"


def _in_a_sentence(title: str) -> str:
    return title[:1].lower() + title[1:].rstrip(".")


def _carried(
    reader: Reader,
    people_meant: int,
    people_there: int,
    low_meant_s: float | None = None,
    high_meant_s: float | None = None,
    low_s: float | None = None,
    high_s: float | None = None,
) -> str:
    return (
        f"The target means {people(people_meant)} in the room: "
        f"{limit_words(low_meant_s, high_meant_s)}. With {people(people_there)} in it, as "
        f"measured, that is {limit_words(low_s, high_s)}."
    )


def limit_words(low_s: float | None, high_s: float | None, value_s: float | None = None) -> str:
    """Return limits as one says them, beside a value where there is one. [s]

    >>> limit_words(0.4, 0.6), limit_words(None, 0.6), limit_words(0.4, None)
    ('0.40 to 0.60 s', 'at most 0.60 s', 'at least 0.40 s')
    """
    low = None if low_s is None else limit_text(low_s, upper=False, value=value_s)
    high = None if high_s is None else limit_text(high_s, upper=True, value=value_s)
    if low and high:
        return f"{low} to {high} s"
    if high:
        return f"at most {high} s"
    return f"at least {low} s" if low else "no limit"


register(
    {
        MeanNote.ALL_MODAL: lambda reader, bands_hz: (
            f"All of {band_names(bands_hz)} lie below the transition frequency: single modes ring "
            "there."
        ),
        MeanNote.LACKS: lambda reader, bands_hz: f"The mean lacks {band_names(bands_hz)}.",
        MeanNote.LEFT_OUT: lambda reader, bands_hz: (
            f"Left out of the mean, below the transition frequency: {band_names(bands_hz)}."
        ),
        MeanNote.MEANT_IN_USE: lambda reader, **v: (
            f"The target means the room in use; it was measured with {people(v['people'])} in it."
        ),
        MeanNote.MEANT_EMPTY: lambda reader, **v: (
            f"The target means the room without people; measured with {people(v['people'])} in it."
        ),
        MeanNote.LIMITS_CARRIED: _carried,
    }
)
