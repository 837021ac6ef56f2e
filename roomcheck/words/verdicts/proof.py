"""Before, promise and after in words."""

from __future__ import annotations

from typing import Any

from roomcheck.facts import Fact
from roomcheck.measure import Signal
from roomcheck.units import band_name
from roomcheck.verify import (
    Appeared,
    BandChange,
    Cause,
    Change,
    ChangeNote,
    Difference,
    Kept,
    MeanChange,
    Verification,
)
from roomcheck.words.places import tape
from roomcheck.words.reader import Reader
from roomcheck.words.saying import joined, register, sentences
from roomcheck.words.verdicts.phrases import band_names, people

register(
    {
        Appeared.NEW: "New since the work",
        Appeared.UNSEEN: "Seen now; the first visit could not judge it",
    }
)

register(
    {
        Kept.KEPT: "kept",
        Kept.NOT_KEPT: "not kept",
        Kept.UNDECIDED: "undecided",
        Kept.NOT_PROMISED: "not promised",
    }
)


def proof_sentence(verification: Verification, reader: Reader) -> str:
    """Say whether the promise is kept, and what forbids or clouds the comparison."""
    barring = " ".join(sentences(verification.barring, reader))
    if barring and not verification.compared_anyway:
        return (
            f"Undecided, because the two visits cannot be compared. {barring} Measure again as on "
            "the first visit."
        )
    verdict = _verdict(verification, counts_pairs=reader.who != "client")
    return f"{verdict} Compared all the same, although: {barring}" if barring else verdict


def _verdict(verification: Verification, *, counts_pairs: bool) -> str:
    """The verdict; how many pairs more would decide is left out for a client, who signed a number
    of them."""
    changes = verification.changes
    if verification.kept == Kept.KEPT:
        return (
            "The promise is kept: every promised value lies inside its limits, measured at "
            f"{verification.pairs_after} pairs."
        )
    if verification.kept == Kept.NOT_KEPT:
        broken = [change for change in changes if change.kept == Kept.NOT_KEPT]
        return f"The promise is not kept; {_by_fault(broken)}."
    if verification.kept == Kept.NOT_PROMISED:
        return "Nothing was promised, so there is nothing to verify."
    undecided = [change for change in changes if change.kept == Kept.UNDECIDED]
    unmeasured = [change for change in undecided if change.after_s is None]
    close = [change for change in undecided if change.after_s is not None]
    parts = []
    if close:
        names = joined([value_name(change) for change in close])
        parts.append(f"Too close to the limit to say whether the promise is kept: {names}.")
        if counts_pairs:
            parts.append(_more(_most_pairs(close)))
    if unmeasured:
        names = joined([value_name(change) for change in unmeasured])
        parts.append(f"Not measured after the work, so undecided: {names}.")
    return " ".join(parts)


def _most_pairs(changes: list[BandChange | MeanChange]) -> int | None:
    """How many more pairs would decide all of them; None where no reasonable number would."""
    more = [change.more_pairs for change in changes]
    known = [count for count in more if count is not None]
    return max(known) if len(known) == len(more) else None


def _by_fault(changes: list[BandChange | MeanChange]) -> str:
    by_fault: dict[str, list[str]] = {}
    for change in changes:
        long = (change.after_s or 0.0) > (change.high_s or 0.0)
        fault = "longer than promised" if long else "deader than promised"
        by_fault.setdefault(fault, []).append(value_name(change))
    return "; ".join(f"{fault}: {', '.join(names)}" for fault, names in by_fault.items())


def value_name(change: Change) -> str:
    """Name what changed: an octave, or the mean over several.

    >>> value_name(MeanChange(bands_hz=(500.0, 1000.0), before_s=None, after_s=None,
    ...     after_u_s=None, change_s=None, change_u_s=None, low_s=None, high_s=None,
    ...     kept=Kept.NOT_PROMISED, audible=None))
    'the mean of 500 Hz and 1 kHz'
    """
    if isinstance(change, MeanChange):
        return f"the mean of {band_names(change.bands_hz)}"
    assert isinstance(change, BandChange)
    return band_name(change.band_hz)


def _more(more: int | None) -> str:
    if more is None:
        return "The value stands on its limit: no reasonable number of pairs would decide."
    pairs = "pair" if more == 1 else "pairs"
    return f"About {more} more {pairs} would decide if the average stays."


def _too_close(reader: Reader, pairs: int, more_pairs: int | None = None) -> str:
    return f"Too close to a limit to decide with {pairs} pairs. {_more(more_pairs)}"


def _no_decay(reader: Reader, before: bool, after: bool) -> str:
    measured = (("before", before), ("after", after))
    absent = joined([when for when, known in measured if not known])
    return f"No decay could be measured {absent}."


def people_more(more: int) -> str:
    """Name how many people more or fewer were there.

    >>> people_more(1), people_more(-2)
    ('one person more', '2 people fewer')
    """
    return f"{people(abs(more))} {'more' if more > 0 else 'fewer'}"


register(
    {
        ChangeNote.NOT_COMPARABLE: "The two visits cannot be compared.",
        ChangeNote.NOTHING_AFTER: "Nothing was measured after the work in this band.",
        ChangeNote.ONE_PAIR: "One position cannot decide; ISO 3382-2 asks for at least two.",
        ChangeNote.TOO_CLOSE: _too_close,
        ChangeNote.NO_DECAY: _no_decay,
        ChangeNote.FEWER_PAIRS: (
            "The change is over the {pairs} pairs that have a number both times."
        ),
        ChangeNote.OTHER_AIR: "Change corrected by {change_s:+.3f} s for the different air.",
        ChangeNote.OTHER_PEOPLE: lambda reader, more, change_s: (
            f"Corrected by {-change_s:+.3f} s for {people_more(more)} in the room."
        ),
        ChangeNote.OTHER_PEOPLE_UNKNOWN: lambda reader, more: (
            f"Not corrected for {people_more(more)} in the room: no table says what a person "
            "absorbs in this band."
        ),
    }
)


def _pairs_named(pairs: tuple[tuple[str, str], ...]) -> str:
    return ", ".join(f"{source}-{microphone}" for source, microphone in pairs)


def _temperature(reader: Reader, before_c: float, after_c: float) -> str:
    def warm(celsius: float) -> str:
        if reader.units == "imperial":
            return f"{celsius * 9 / 5 + 32:.0f} °F"
        return f"{celsius:.1f} °C"

    return f"Temperature: {warm(before_c)} before, {warm(after_c)} after."


def _typed(name: str) -> Any:
    def words(reader: Reader, before: str, after: str) -> str:
        return f"{name}: {before or 'not noted'} before, {after or 'not noted'} after."

    return words


def _signals(reader: Reader, before: tuple[Any, ...], after: tuple[Any, ...]) -> str:
    def played(signals: tuple[Any, ...]) -> str:
        facts = [Fact(Signal(kind), values) for kind, values in signals]
        return "; ".join(sentences(facts, reader))

    return str(_typed("Test signal")(reader, played(before), played(after)))


def _equipment(reader: Reader, before: str, after: str) -> str:
    return (
        f"{_typed('Equipment')(reader, before, after)} Early decay, clarity and levels may differ "
        "by that alone; T20 barely does."
    )


register(
    {
        Difference.FEWER_THAN_PROMISED: (
            "Promised to be measured at {promised} source-microphone pairs, measured at {measured}."
        ),
        Difference.ONLY_BEFORE: lambda reader, pairs: (
            f"Measured before only: {_pairs_named(pairs)}."
        ),
        Difference.ONLY_AFTER: lambda reader, pairs: f"Measured after only: {_pairs_named(pairs)}.",
        Difference.NO_COMMON_PAIR: "No pair of positions was measured both times.",
        Difference.MOVED: lambda reader, position, distance_m: (
            f"Position: {position} stood {tape(distance_m, reader)} from where it stood before."
        ),
        Difference.CONDITIONS_UNKNOWN: (
            'The job says nothing of the conditions of the visit "{visit}".'
        ),
        Difference.TEMPERATURE: _temperature,
        Difference.HUMIDITY: (
            "Relative humidity: {before_pct:.0f} % before, {after_pct:.0f} % after."
        ),
        Difference.VENTILATION: _typed("Ventilation"),
        Difference.GAIN: _typed("Gain"),
        Difference.EQUIPMENT: _equipment,
        Difference.SIGNAL: _signals,
        Difference.SETTINGS: _typed("Settings"),
        Difference.PEOPLE: "People in the room: {before} before, {after} after.",
        Difference.DOORS: _typed("Doors"),
        Difference.FURNISHING: lambda reader, name, before: (
            f"Furnishing: {name} was there {'before' if before else 'after'} only."
        ),
    }
)

register(
    {
        Cause.MORE_ABSORPTION: (
            "The room absorbs more than was planned: look for furniture, curtains or people that "
            "were not there."
        ),
        Cause.AS_PREDICTED: (
            "The measured decays agree with the prediction: the promise was narrower than the "
            "prediction allowed."
        ),
        Cause.AS_BEFORE: (
            "The room sounds as it did before the work: see whether the pieces hang, and whether "
            "these are the recordings of the visit after it."
        ),
        Cause.PIECES_MISSING: (
            "The result fits {count} of “{piece}” missing: count what hangs against the plan."
        ),
        Cause.GAP_MISSING: (
            "The result fits {count} × {piece} hung without their gap: measure the distance to the"
            " wall, and restore it."
        ),
        Cause.WEAK_PIECES: lambda reader, share: (
            f"The result fits pieces that absorb {100 * share:.0f} % less than the stock list "
            "says: check core, fabric and backing of one."
        ),
        Cause.UNEXPLAINED: (
            "No piece or gap explains what lacks: the room itself changed, or was not as measured "
            "before."
        ),
    }
)
