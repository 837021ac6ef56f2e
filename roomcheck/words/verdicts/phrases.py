"""Parts of sentences that findings, remedies and verdicts share."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from roomcheck.units import band_name
from roomcheck.words.numbers import expanded
from roomcheck.words.places import place_text
from roomcheck.words.reader import Reader
from roomcheck.words.saying import joined


def band_names(bands_hz: Iterable[float]) -> str:
    """Name octaves in a sentence.

    >>> band_names((500.0, 1000.0, 2000.0))
    '500 Hz, 1 kHz and 2 kHz'
    """
    return joined([band_name(hz) for hz in bands_hz])


def give_or_take(u_s: float | None) -> str:
    """Return the expanded uncertainty behind a value, rounded up; nothing where it is unknown. [s]

    >>> give_or_take(0.014)
    ' ± 0.03 s'
    """
    return "" if u_s is None else f" ± {expanded(u_s)} s"


def people(count: int) -> str:
    """Name a number of people.

    >>> people(0), people(1), people(4)
    ('nobody', 'one person', '4 people')
    """
    return {0: "nobody", 1: "one person"}.get(count, f"{count} people")


def way(places: Sequence[Any], reader: Reader) -> str:
    """Return where sound met one face, or several in order."""
    return "; then ".join(place_text(place, reader) for place in places)


def times_as_long(ratio: float) -> str:
    """Return how much longer something lasts, as one says it.

    >>> times_as_long(1.04), times_as_long(1.33), times_as_long(1.5)
    ('slightly longer than', 'about 30 % longer than', 'half as long again as')
    >>> times_as_long(1.88), times_as_long(2.0), times_as_long(2.6)
    ('almost twice as long as', 'twice as long as', '2.6 times as long as')
    """
    named = (
        (1.05, "slightly longer than"),
        (1.45, f"about {10 * max(round(10 * (ratio - 1)), 1)} % longer than"),
        (1.55, "half as long again as"),
        (1.75, f"about {10 * round(10 * (ratio - 1))} % longer than"),
        (1.97, "almost twice as long as"),
        (2.05, "twice as long as"),
    )
    return next((text for below, text in named if ratio < below), f"{ratio:.1f} times as long as")


def axes_of(order: tuple[int, int, int]) -> list[str]:
    """Return which of length, width and height a standing wave stands along."""
    return [axis for axis, n in zip(("length", "width", "height"), order, strict=True) if n]
