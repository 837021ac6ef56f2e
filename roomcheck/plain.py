"""Frozen results to plain values and back, for JSON, TOML and what was signed.

One rule for every stage's result: dataclasses become dicts of their fields, tuples become lists,
money, paths and kinds become text, facts become tables with their kind, absent values stay None.
"""

from __future__ import annotations

import dataclasses
import difflib
import enum
import math
import types
import typing
from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from functools import cache, partial
from pathlib import Path
from typing import Any, TypeVar

from roomcheck.facts import Fact

T = TypeVar("T")

Way = tuple[str | int, ...]
"""From a value's top to one of its parts: names of fields and numbers of items, from 0."""

_AS_SIGNED = "as_signed"
"""The kind of a fact that was signed as a text, before facts had kinds: its value `text`."""

MOST_SHOWN = 60
"""Letters of a value that an error shows."""


class Misfits(ValueError):
    """Plain values that do not fit their type, all of them: `found` says where, and what was found
    and needed."""

    def __init__(self, kind: str, found: Iterable[tuple[Way, str]]) -> None:
        self.found = tuple(found)
        super().__init__("; ".join(f"{_named(kind, way)}: {text}" for way, text in self.found))


def _named(kind: str, way: Way) -> str:
    steps = (f"[{step}]" if isinstance(step, int) else f".{step}" for step in way)
    return kind + "".join(steps)


def to_plain(value: object) -> Any:  # noqa: PLR0911
    """What JSON can hold, made of a frozen result.

    Raises
    ------
    ValueError
        A number that is not finite: a result has None and a reason there instead.

    >>> from roomcheck.geometry import Rectangle
    >>> to_plain(Rectangle(0, 0.5, 1, 2))
    {'u_m': 0, 'v_m': 0.5, 'width_m': 1, 'height_m': 2}
    """
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueError(f"a result holds {value}; None and a reason belong there")
    if isinstance(value, enum.StrEnum):
        return str(value)
    if value is None or isinstance(value, bool | int | float | str):
        return value
    if isinstance(value, Fact):
        return {"kind": str(value.kind), **{name: to_plain(item) for name, item in value.values}}
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: to_plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): to_plain(item) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [to_plain(item) for item in value]
    if isinstance(value, Decimal | Path):
        return str(value)
    raise ValueError(f"{type(value).__name__} has no plain form: {value!r}")


def from_plain(kind: type[T], plain: Any) -> T:
    """The frozen value of type `kind` that `to_plain` made `plain` of.

    Raises
    ------
    Misfits
        The plain value does not fit the type, or holds a number that is not finite; names every
        field.

    >>> from roomcheck.geometry import Rectangle
    >>> from_plain(Rectangle, {"u_m": 0, "v_m": 0.5, "width_m": 1, "height_m": 2})
    Rectangle(u_m=0, v_m=0.5, width_m=1, height_m=2)
    """
    name = getattr(kind, "__name__", str(kind))
    try:
        return typing.cast(T, _from_plain(kind, plain, ()))
    except _Misfit as problem:
        raise Misfits(name, problem.found) from problem


class _Misfit(Exception):
    """What does not fit below some part of a value."""

    def __init__(self, found: Iterable[tuple[Way, str]]) -> None:
        self.found = tuple(found)
        super().__init__(self.found)


def _misfit(way: Way, plain: Any, needed: str) -> _Misfit:
    shown = repr(plain)
    shown = shown if len(shown) <= MOST_SHOWN else f"{shown[:MOST_SHOWN]}…"
    return _Misfit([(way, f"found {shown}, needed {needed}")])


def _each(parts: Iterable[tuple[Any, Callable[[], Any]]]) -> dict[Any, Any]:
    """Every part read, the misfits of all of them together."""
    values, found = {}, list[tuple[Way, str]]()
    for name, read in parts:
        try:
            values[name] = read()
        except _Misfit as problem:
            found += problem.found
    if found:
        raise _Misfit(found)
    return values


def _from_plain(kind: Any, plain: Any, way: Way) -> Any:  # noqa: PLR0911
    if kind in _AS_IT_IS and type(plain) is kind:
        return _finite(plain, way)
    origin, args = _parts(kind)
    if origin in (typing.Union, types.UnionType):
        if plain is None and type(None) in args:
            return None
        return _first_fit([a for a in args if a is not type(None)], plain, way)
    if origin is typing.Literal:
        if isinstance(plain, list | dict) or plain not in args:
            raise _misfit(way, plain, f"one of {', '.join(map(repr, args))}")
        return plain
    if origin is tuple:
        return _tuple(args, plain, way)
    if origin is Fact:
        return _fact(args[0], plain, way)
    if origin in (dict, Mapping) or (isinstance(origin, type) and issubclass(origin, Mapping)):
        return _mapping(args, plain, way)
    return _leaf(kind, plain, way)


_AS_IT_IS = frozenset({str, int, float, bool})
"""Types whose values are plain themselves."""


@cache
def _parts(kind: Any) -> tuple[Any, tuple[Any, ...]]:
    """What a generic type is of, and its arguments."""
    return typing.get_origin(kind), typing.get_args(kind)


def _mapping(args: tuple[Any, ...], plain: Any, way: Way) -> dict[Any, Any]:
    if not isinstance(plain, Mapping):
        raise _misfit(way, plain, "a table")
    values = _each(
        (key, partial(_from_plain, args[1], item, (*way, key))) for key, item in plain.items()
    )
    return {_key(args[0], key, way): item for key, item in values.items()}


def _key(kind: Any, key: str, way: Way) -> Any:
    """A table's key, which TOML and JSON have as a text."""
    if kind is not float:
        return _from_plain(kind, key, way)
    try:
        return _finite(float(key), way)
    except ValueError as problem:
        raise _misfit(way, key, "a number") from problem


def _fact(kind: Any, plain: Any, way: Way) -> Fact[Any]:
    """A fact of one closed list, or of the first of several that has its kind.

    What was signed as a text is a fact of the list's kind `as_signed`, where it has one.
    """
    if isinstance(plain, str) and _AS_SIGNED in _members(kind):
        return Fact(_from_plain(kind, _AS_SIGNED, way), (("text", plain),))
    if not isinstance(plain, Mapping) or "kind" not in plain:
        raise _misfit(way, plain, "a table with its kind")
    named = _from_plain(kind, plain["kind"], (*way, "kind"))
    values = {name: _frozen(item, (*way, name)) for name, item in plain.items() if name != "kind"}
    return Fact(named, tuple(sorted(values.items())))


def _members(kind: Any) -> tuple[str, ...]:
    """Every member of a closed list, or of several."""
    lists = typing.get_args(kind) or (kind,)
    return tuple(str(member) for members in lists for member in members)


def _frozen(value: Any, way: Way) -> Any:
    if isinstance(value, list | tuple):
        return tuple(_frozen(item, (*way, i)) for i, item in enumerate(value))
    return _finite(value, way)


def _finite(value: Any, way: Way) -> Any:
    if isinstance(value, float) and not math.isfinite(value):
        raise _misfit(way, value, "a finite number")
    return value


def _leaf(kind: Any, plain: Any, way: Way) -> Any:  # noqa: PLR0911
    if dataclasses.is_dataclass(kind):
        return _dataclass(typing.cast(type, kind), plain, way)
    if issubclass(kind, tuple):  # a named tuple
        return kind(*_tuple(tuple(_hints(kind).values()), plain, way))
    if issubclass(kind, enum.StrEnum):
        if plain not in tuple(kind):
            raise _misfit(way, plain, f"one of {', '.join(kind)}")
        return kind(plain)
    if kind is Decimal:
        return _decimal(plain, way)
    if kind is Path and isinstance(plain, str):
        return Path(plain)
    whole = isinstance(plain, int) and not isinstance(plain, bool)
    if kind is float and whole:
        return plain
    if not isinstance(plain, kind) or (kind is int and not whole):
        raise _misfit(way, plain, _NAMES.get(kind, kind.__name__))
    return _finite(plain, way)


_NAMES = {str: "a text", int: "a whole number", float: "a number", bool: "true or false"}


def _decimal(plain: Any, way: Way) -> Decimal:
    """An amount: a text, or a number as TOML and JSON may have it."""
    try:
        value = Decimal(plain) if isinstance(plain, str) else Decimal(str(plain))
    except ArithmeticError:
        value = Decimal("NaN")
    if isinstance(plain, bool) or not value.is_finite():
        raise _misfit(way, plain, "an amount")
    return value


def _dataclass(kind: type, plain: Any, way: Way) -> Any:
    if not isinstance(plain, Mapping):
        raise _misfit(way, plain, "a table")
    hints = _hints(kind)
    known, renamed = _known(kind)
    spelt = {renamed.get(name, name): name for name in plain}
    plain = {name: plain[old] for name, old in spelt.items()}
    parts: list[tuple[Any, Callable[[], Any]]] = [
        (name, partial(_from_plain, hints[name], plain[name], (*way, spelt[name])))
        for name in known
        if name in plain
    ]
    parts += [(name, partial(_unknown, name, known, way)) for name in plain if name not in known]
    parts += [
        (name, partial(_absent, name, hints[name], way))
        for name, field in known.items()
        if name not in plain and _bare(field)
    ]
    return kind(**_each(parts))


@cache
def _known(kind: type) -> tuple[dict[str, dataclasses.Field[Any]], dict[str, str]]:
    """The fields of a frozen type by name, and the names of those that had another one when
    something was signed, which say so: metadata={"was": "text"}."""
    known = {f.name: f for f in dataclasses.fields(kind) if f.init}
    renamed = {f.metadata["was"]: name for name, f in known.items() if "was" in f.metadata}
    return known, renamed


def _unknown(name: str, known: Iterable[str], way: Way) -> Any:
    near = difflib.get_close_matches(name, list(known), n=1)
    meant = f"; did you mean {near[0]!r}?" if near else ""
    raise _Misfit([((*way, name), f"unknown field {name!r}{meant}")])


def _absent(name: str, hint: Any, way: Way) -> None:
    """TOML has no null: an absent field is None where the type allows it and there is no
    default."""
    if type(None) not in typing.get_args(hint):
        raise _Misfit([(way, f"field {name!r} is missing")])


def _bare(field: dataclasses.Field[Any]) -> bool:
    """Whether a field has no default."""
    return field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING


@cache
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _tuple(args: tuple[Any, ...], plain: Any, way: Way) -> tuple[Any, ...]:
    if not isinstance(plain, list | tuple):
        raise _misfit(way, plain, "a list")
    any_length = len(args) == 2 and args[1] is Ellipsis
    kinds = (args[0],) * len(plain) if any_length else args
    if len(kinds) != len(plain):
        raise _misfit(way, plain, f"a list of {len(kinds)}")
    values = _each(
        (i, partial(_from_plain, kind, item, (*way, i)))
        for i, (kind, item) in enumerate(zip(kinds, plain, strict=True))
    )
    return tuple(values.values())


def _first_fit(kinds: list[Any], plain: Any, way: Way) -> Any:
    problems = []
    for kind in kinds:
        try:
            return _from_plain(kind, plain, way)
        except _Misfit as problem:
            problems.append(problem)
    if len(problems) == 1:
        raise problems[0]
    raise _Misfit([(way, "; ".join(text for p in problems for _, text in p.found))])
