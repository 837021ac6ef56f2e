"""Tables of a person's TOML file, read with care: every mistake is noted with its line, none stops
the reading."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from functools import partial
from typing import Any, TypeVar

from roomcheck.job.toml.document import TomlFile
from roomcheck.job.toml.lines import Path as Way
from roomcheck.job.toml.values import MOST, is_text, length_of, meant, shown, with_unit
from roomcheck.signs import first_unseen
from roomcheck.typed import TypedError, parse_money, parse_percent, parse_temperature
from roomcheck.units import KG_PER_LB

T = TypeVar("T")

_MISSING = object()

MOST_ENTRIES = 500
"""Tables of one kind, and items of one list: more than any room or shop has."""

MOST_STRANGE = 30
"""Unknown keys of one table that are named one by one."""


@dataclass
class TomlTable:
    """One table of a document.

    Each reading method takes a key and hands out its value; where the value is missing or wrong it
    notes the mistake, marks the table as `spoiled`, and hands out a stand-in that nobody may use.
    """

    document: TomlFile
    way: Way
    data: Mapping[str, Any]
    known: list[str] = field(default_factory=list)
    missing: dict[str, str] = field(default_factory=dict)
    spoiled: bool = False
    absent: bool = False

    @classmethod
    def of(cls, document: TomlFile) -> TomlTable:
        """The table that a whole document is."""
        return cls(document, (), document.data)

    @property
    def title(self) -> str:
        """How the file writes this table: [room], [[patch]] …"""
        names = [str(step) for step in self.way if isinstance(step, str)]
        if not names:
            return "the file"
        listed = any(isinstance(step, int) for step in self.way)
        return f"[[{'.'.join(names)}]]" if listed else f"[{'.'.join(names)}]"

    def note(self, key: str | None, text: str) -> None:
        """Note a mistake of a key, or of the whole table."""
        self.spoiled = True
        if not self.absent:
            self.document.note(self.way if key is None else (*self.way, key), text)

    def has(self, key: str) -> bool:
        return key in self.data

    def _raw(self, key: str, default: object) -> Any:
        self.known.append(key)
        if key in self.data:
            return self.data[key]
        if default is _MISSING:
            self._miss(key, f"`{key}`")
        return _MISSING

    def _miss(self, key: str, written: str) -> None:
        self.spoiled = True
        self.missing[key] = written

    def _read(
        self, key: str, default: Any, stand_in: T, needed: str, take: Callable[[Any], T | None]
    ) -> T:
        raw = self._raw(key, default)
        if raw is _MISSING:
            return stand_in if default is _MISSING else default
        taken = take(raw)
        if taken is None:
            self.note(key, f"`{key}` is {shown(raw)}; it must be {needed}")
            return stand_in
        return taken

    def _typed(self, key: str, default: Any, stand_in: T, read: Callable[[Any], T]) -> T:
        """A value by a reader that says itself what is wrong."""
        raw = self._raw(key, default)
        if raw is _MISSING:
            return stand_in if default is _MISSING else default
        try:
            return read(raw)
        except TypedError as problem:
            self.note(key, f"`{key}` is {shown(raw)}; {problem.why}")
            return stand_in

    def text(self, key: str, default: Any = _MISSING, *, example: str = "") -> str:
        """Text, not blank where it is required."""
        such = f', such as "{example}"' if example else ""
        self._note_unseen(key, self.data.get(key))

        def take(raw: Any) -> str | None:
            if not isinstance(raw, str) or (default is _MISSING and not raw.strip()):
                return None
            return raw if any(c.isprintable() or c in "\n\t" for c in raw) or not raw else None

        kind = "text in quotes" if default is not _MISSING else "text in quotes, not blank"
        return self._read(key, default, "", f"{kind}{such}", take)

    def _note_unseen(self, key: str, raw: Any) -> None:
        """Note what a text holds that nobody can have meant, and nobody can see."""
        odd = first_unseen(raw) if isinstance(raw, str) else None
        if odd is not None:
            self.note(
                key,
                f"`{key}` holds the sign {odd}, which cannot be seen; type it again without it "
                "(in TOML a backslash is written twice)",
            )

    def flag(self, key: str, default: Any = _MISSING) -> bool:
        return self._read(
            key, default, False, "true or false", lambda raw: raw if isinstance(raw, bool) else None
        )

    def whole(self, key: str, default: Any = _MISSING, *, least: int = 0) -> int:
        def take(raw: Any) -> int | None:
            return (
                raw
                if isinstance(raw, int) and not isinstance(raw, bool) and least <= raw < MOST
                else None
            )

        return self._read(key, default, 0, f"a whole number, {least} or more, without quotes", take)

    def number(self, key: str, default: Any = _MISSING, *, above: float = 0.0) -> float:
        def take(raw: Any) -> float | None:
            if isinstance(raw, bool) or not isinstance(raw, int | float):
                return None
            return float(raw) if abs(raw) < MOST and raw > above else None

        return self._read(key, default, math.nan, f"a number above {above:g}, without quotes", take)

    def floats(
        self, key: str, *, count: int | None = None, above: float = -math.inf
    ) -> tuple[float, ...]:
        """A list of numbers, so many of them where `count` is told."""

        def take(raw: Any) -> tuple[float, ...] | None:
            if not isinstance(raw, list) or len(raw) > MOST_ENTRIES:
                return None
            if count is not None and len(raw) != count:
                return None
            fine = all(
                isinstance(x, int | float) and not isinstance(x, bool) and above < x < MOST
                for x in raw
            )
            return tuple(float(x) for x in raw) if fine else None

        many = "" if count is None else f"{count} "
        over = "" if above == -math.inf else f" above {above:g}"
        return self._read(key, _MISSING, (), f"a list of {many}numbers{over}, without quotes", take)

    def choice(self, key: str, choices: Iterable[str], default: Any = _MISSING) -> str:
        """One of a few words; suggests the nearest."""
        allowed = list(choices)
        raw = self._raw(key, default)
        if raw is _MISSING:
            return "" if default is _MISSING else str(default)
        if isinstance(raw, str) and raw in allowed:
            return raw
        self.note(key, f"`{key}` is {shown(raw)}; {meant(raw, allowed)}")
        return ""

    def length(
        self,
        key: str,
        default: Any = _MISSING,
        *,
        above: float | None = None,
        least: float | None = None,
    ) -> Any:
        """A length with its unit. [m]"""
        raw = self._raw(key, default)
        if raw is _MISSING:
            return math.nan if default is _MISSING else default
        return self._length(key, raw, above, least)

    def _length(self, key: str, raw: Any, above: float | None, least: float | None) -> float:
        found = length_of(raw)
        if isinstance(found, str):
            self.note(key, f"`{key}`: {found}")
            return math.nan
        if above is not None and found <= above:
            self.note(key, f"`{key}` is {shown(raw)}; it must be above {above:g}")
            return math.nan
        if least is not None and found < least:
            self.note(key, f"`{key}` is {shown(raw)}; it must be {least:g} or more")
            return math.nan
        return found

    def lengths(self, key: str, default: Any = _MISSING) -> tuple[float, ...]:
        """A list of lengths, none below 0. [m]"""
        raw = self._raw(key, default)
        if raw is _MISSING:
            return () if default is _MISSING else tuple(default)
        if not isinstance(raw, list):
            self.note(
                key,
                f'`{key}` is {shown(raw)}; it must be a list of lengths, such as ["0 in", "1 in"]',
            )
            return ()
        if len(raw) > MOST_ENTRIES:
            self.note(key, f"`{key}` has {len(raw)} lengths; {MOST_ENTRIES} at most")
            return ()
        return tuple(self._length(key, item, None, 0.0) for item in raw)

    def measure(
        self, key: str, units: Mapping[str, float], example: str, default: Any = _MISSING
    ) -> float:
        """A number with one of a few units, as text."""
        return self._read(
            key, default, math.nan, f'text with a unit, such as "{example}"', with_unit(units)
        )

    def weight(self, key: str, default: Any = _MISSING) -> float:
        """A weight with its unit. [kg]"""
        return self.measure(
            key, {"lb": KG_PER_LB, "lbs": KG_PER_LB, "kg": 1.0, "g": 1e-3}, "11 lb", default
        )

    def temperature(self, key: str) -> float:
        """[degC]"""
        return self._typed(key, _MISSING, math.nan, parse_temperature)

    def percent(self, key: str, default: Any = _MISSING) -> Decimal:
        """A percentage as text. [%]"""
        return self._typed(key, default, Decimal(0), parse_percent)

    def money(self, key: str, default: Any = _MISSING) -> Decimal:
        """An amount of money as text, 0 or more, with or without the sign of the currency."""
        read = partial(parse_money, currency=self.document.currency)
        return self._typed(key, default, Decimal(0), read)

    def exact(
        self, key: str, default: Any = _MISSING, *, what: str = "an amount", example: str = "7"
    ) -> Decimal:
        """Hours, weeks and packs: an exact number as text, 0 or more."""

        def take(raw: Any) -> Decimal | None:
            if (
                not is_text(raw)
                or re.fullmatch(r"\d{1,12}(?:\.\d{1,6})?", raw.strip(), re.A) is None
            ):
                return None
            return Decimal(raw.strip())

        needed = f'{what} as text, digits and at most one point, such as "{example}"'
        return self._read(key, default, Decimal(0), needed, take)

    def day(self, key: str) -> str:
        """A day, ISO 8601; as text or as TOML's own date."""

        def take(raw: Any) -> str | None:
            if isinstance(raw, date) and not isinstance(raw, datetime):
                return raw.isoformat()
            if not is_text(raw) or re.fullmatch(r"\d{4}-\d{2}-\d{2}", raw, re.A) is None:
                return None
            try:
                return date.fromisoformat(raw).isoformat()
            except ValueError:
                return None

        return self._read(
            key, _MISSING, "", 'a day that exists, year first, such as "2026-05-04"', take
        )

    def texts(
        self, key: str, default: Any = _MISSING, *, example: str = '["a", "b"]'
    ) -> tuple[str, ...]:
        def take(raw: Any) -> tuple[str, ...] | None:
            fine = isinstance(raw, list) and all(
                isinstance(item, str) and item.strip() for item in raw
            )
            for item in raw if fine else ():
                self._note_unseen(key, item)
            return tuple(raw) if fine else None

        return self._read(key, default, (), f"a list of texts, such as {example}", take)

    def choices(self, key: str, allowed: Iterable[str], default: Any = _MISSING) -> tuple[str, ...]:
        """Some of a few words, each once."""
        words = list(allowed)
        found = self.texts(key, default, example=str(words[:2]).replace("'", '"'))
        for item in found:
            if item not in words:
                self.note(key, f"`{key}` holds {shown(item)}; {meant(item, words)}")
        if len(set(found)) < len(found):
            self.note(key, f"`{key}` says the same twice")
        return found

    def raw(self, key: str) -> Any:
        """The value as TOML has it; None where it is missing."""
        found = self._raw(key, None)
        return None if found is _MISSING else found

    def table(self, key: str, *, required: bool = True) -> TomlTable:
        """A table; an empty one where it is missing."""
        raw = self._raw(key, None)
        inner = TomlTable(self.document, (*self.way, key), raw if isinstance(raw, dict) else {})
        if raw is _MISSING:
            if required:
                self._miss(key, f"the table [{'.'.join([*(str(step) for step in self.way), key])}]")
            inner.spoiled = inner.absent = True
        elif not isinstance(raw, dict):
            heads = (
                f"[[{key}]]; write [{key}], there is only one"
                if isinstance(raw, list)
                else shown(raw)
            )
            self.note(key, f"`{key}` must be a table, found {heads}")
            inner.spoiled = inner.absent = True
        return inner

    def tables(self, key: str, most: int = MOST_ENTRIES) -> list[TomlTable]:
        """All tables of an array of tables; none where it is missing."""
        raw = self._raw(key, None)
        if raw is _MISSING:
            return []
        if isinstance(raw, list) and len(raw) > most:
            self.note(key, f"`{key}` stands {len(raw)} times; {most} at most")
            return []
        if isinstance(raw, list) and all(isinstance(item, dict) for item in raw):
            return [
                TomlTable(self.document, (*self.way, key, i), item) for i, item in enumerate(raw)
            ]
        found = (
            f"[{key}]; write [[{key}]], there may be several"
            if isinstance(raw, dict)
            else shown(raw)
        )
        self.note(key, f"`{key}` must be a list of tables, found {found}")
        return []

    def close(self, not_yet: Mapping[str, str] | None = None) -> None:
        """Note every key that nobody asked for, and every one that is missing: a misspelt key
        counts once; `not_yet` says what to do instead of keys that people may try."""
        strange = [key for key in self.data if key not in self.known]
        if len(strange) > MOST_STRANGE:
            self.note(None, f"{self.title} has {len(strange)} keys that are unknown")
        for key in strange[:MOST_STRANGE]:
            if not_yet and key in not_yet:
                self.note(key, f"`{key}`: {not_yet[key]}")
                continue
            absent = [k for k in self.known if k not in self.data]
            near = difflib.get_close_matches(key, absent, n=1) or difflib.get_close_matches(
                key, self.known, n=1
            )
            if near:
                self.missing.pop(near[0], None)
            hint = (
                f"did you mean `{near[0]}`?"
                if near
                else f"known here: {', '.join(dict.fromkeys(self.known))}"
            )
            self.note(key, f"`{key}` in {self.title} is unknown; {hint}")
        for key, written in self.missing.items():
            self.note(key, f"{self.title} needs {written}")
