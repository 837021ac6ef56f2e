"""From a kind to its sentence: one table for every closed list.

The modules of this stage fill the table. An entry is a template, or a function where the sentence
depends on the values. Templates name a fact's values in braces; besides Python's own format codes
they know

    {depth_m:length}   as the job writes lengths, feet and inches or metres
    {depth_m:size}     as the shop reads sizes, inches or millimetres
    {weight_kg:mass}   whole pounds, or kilograms to the tenth
    {band_hz:band}     500 Hz, 1.25 kHz
    {face:face}        south wall, ceiling
    {tolerance_pct:up} rounded up to a whole number, as every width is
    {faces:and}        a list: a, b and c
    {1/16"|1.5 mm}     the first for inches, the second for millimetres
"""

from __future__ import annotations

import importlib
import string
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from roomcheck.facts import Fact, Kind
from roomcheck.units import band_name
from roomcheck.words.documents.texts import say
from roomcheck.words.numbers import length, rounded_up, size, weight
from roomcheck.words.places import named
from roomcheck.words.reader import Reader


@dataclass(frozen=True, slots=True)
class Voices:
    """One fact in words for each reader; the contractor's where another has none of its own."""

    contractor: str
    client: str = ""
    acoustician: str = ""


Saying = str | Voices | Callable[..., str]
"""A template, one a reader, or a function of the reader and the fact's values as keywords."""

_MODULES: tuple[str, ...] = (
    "job",
    "visit.analysis",
    "visit.decays",
    "shop.hanging",
    "plans.plan",
    "plans.plan_checks",
    "plans.prediction",
    "shop.price",
    "shop.work",
    "shop.steps",
    "shop.stock",
    "visit.takes",
    "visit.places",
    "verdicts.findings",
    "verdicts.proof",
    "verdicts.remedies",
    "verdicts.verdict",
)
"""The modules of this stage that hold tables, imported one by one until a kind has its sentence;
the job's first, so that `roomcheck check` need not wait for the stages behind the others."""

_SAYINGS: dict[tuple[type[Kind], Kind], Saying] = {}


def register(table: Mapping[Any, Saying]) -> None:
    """Add a module's table.

    Raises
    ------
    ValueError
        A kind has a sentence already.
    """
    for kind, saying in table.items():
        key = (type(kind), kind)
        if key in _SAYINGS:
            raise ValueError(f"{type(kind).__name__}.{kind.name} has two sentences")
        _SAYINGS[key] = saying


def sayings() -> Mapping[tuple[type[Kind], Kind], Saying]:
    """Return every table, all modules read."""
    for name in _MODULES:
        importlib.import_module(f"roomcheck.words.{name}")
    return _SAYINGS


def sentence(fact: Fact[Any], reader: Reader) -> str:
    """Put a fact in words.

    Raises
    ------
    KeyError
        The kind has no sentence, or the template names a value that the fact has not.
    """
    key = (type(fact.kind), fact.kind)
    for name in _MODULES:
        if key in _SAYINGS:
            break
        importlib.import_module(f"roomcheck.words.{name}")
    return in_words(_SAYINGS[key], reader, dict(fact.values))


def in_words(saying: Saying, reader: Reader, values: Mapping[str, Any]) -> str:
    """Fill a saying with a fact's values."""
    if callable(saying):
        return saying(reader, **values)
    if isinstance(saying, Voices):
        saying = getattr(saying, reader.who) or saying.contractor
    return fill(saying, reader, **values)


def sentences(facts: Iterable[Fact[Any]], reader: Reader) -> tuple[str, ...]:
    """Put several facts in words, in their order."""
    return tuple(sentence(fact, reader) for fact in facts)


def fill(template: str, reader: Reader, **values: object) -> str:
    """Fill a template's braces.

    >>> fill('within {1/16"|1.5 mm}', Reader(units="metric"))
    'within 1.5 mm'
    >>> fill("{depth_m:size} of {faces:and}", Reader(), depth_m=0.0254, faces=("north", "east"))
    '1" of north and east'
    """
    return _Template(reader).format(template, **values)


def say_to(reader: Reader, key: str, **values: object) -> str:
    """A text of the documents with its lengths as the reader measures.

    Raises
    ------
    KeyError
        No such text, or a value that it names is missing.
    """
    return fill(say(key), reader, **values)


def joined(items: Sequence[str], last: str = "and") -> str:
    """A list in a sentence.

    >>> joined(["a", "b", "c"])
    'a, b and c'
    """
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


RUN = 3
"""Names in a row that are shortened to the first and the last."""


def shortened(names: Sequence[str]) -> str:
    """Names as people list them.

    >>> shortened(["A1", "A2", "A3", "A4", "A7"])
    'A1 to A4, A7'
    """
    runs: list[list[str]] = []
    for name in names:
        if runs and _number(name) == _number(runs[-1][-1]) + 1:
            runs[-1].append(name)
        else:
            runs.append([name])
    shown = []
    for run in runs:
        shown += [f"{run[0]} to {run[-1]}"] if len(run) >= RUN else run
    return ", ".join(shown)


def _number(name: str) -> int:
    digits = "".join(c for c in name if c.isdigit())
    return int(digits) if digits else -1


class _Template(string.Formatter):
    def __init__(self, reader: Reader) -> None:
        self.reader = reader
        self.codes: dict[str, Callable[[Any], str]] = {
            "length": lambda length_m: length(length_m, reader),
            "size": lambda length_m: size(length_m, reader),
            "mass": lambda weight_kg: weight(weight_kg, reader),
            "band": band_name,
            "face": named,
            "up": lambda width: rounded_up(width, 0),
            "and": lambda items: joined([str(item) for item in items]),
            "run": shortened,
            "or": lambda items: joined([str(item) for item in items], "or"),
        }

    def get_field(self, field_name: str, args: Any, kwargs: Any) -> Any:
        if "|" in field_name:
            inches, millimetres = field_name.split("|")
            return (inches if self.reader.units == "imperial" else millimetres), field_name
        return super().get_field(field_name, args, kwargs)

    def format_field(self, value: Any, format_spec: str) -> str:
        show = self.codes.get(format_spec)
        return show(value) if show else str(super().format_field(value, format_spec))
