"""Frozen results to plain values and back, for JSON, TOML and what was signed.

One rule for every stage's result: dataclasses become dicts of their fields, tuples become lists,
money, paths and kinds become text, facts become tables with their kind, absent values stay None.
"""

from __future__ import annotations

import dataclasses
import enum
import math
import types
import typing
from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from roomcheck.facts import Fact

T = TypeVar("T")

_AS_SIGNED = "as_signed"
"""The kind of a fact that was signed as a text, before facts had kinds: its value `text`."""


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
    ValueError
        The plain value does not fit the type; names the field.

    >>> from roomcheck.geometry import Rectangle
    >>> from_plain(Rectangle, {"u_m": 0, "v_m": 0.5, "width_m": 1, "height_m": 2})
    Rectangle(u_m=0, v_m=0.5, width_m=1, height_m=2)
    """
    return typing.cast(T, _from_plain(kind, plain, kind.__name__))


def _from_plain(kind: Any, plain: Any, where: str) -> Any:  # noqa: PLR0911
    origin, args = typing.get_origin(kind), typing.get_args(kind)
    if origin in (typing.Union, types.UnionType):
        if plain is None and type(None) in args:
            return None
        return _first_fit([a for a in args if a is not type(None)], plain, where)
    if origin is typing.Literal:
        if plain not in args:
            raise ValueError(
                f"{where}: found {plain!r}, needed one of {', '.join(map(repr, args))}"
            )
        return plain
    if origin is tuple:
        return _tuple(args, plain, where)
    if origin is Fact:
        return _fact(args[0], plain, where)
    if origin in (dict, Mapping) or (isinstance(origin, type) and issubclass(origin, Mapping)):
        return {
            _from_plain(args[0], k, where): _from_plain(args[1], v, f"{where}.{k}")
            for k, v in plain.items()
        }
    return _leaf(kind, plain, where)


def _fact(kind: Any, plain: Any, where: str) -> Fact[Any]:
    """A fact of one closed list, or of the first of several that has its kind.

    What was signed as a text is a fact of the list's kind `as_signed`, where it has one.
    """
    if isinstance(plain, str) and _AS_SIGNED in _members(kind):
        return Fact(_from_plain(kind, _AS_SIGNED, where), (("text", plain),))
    if not isinstance(plain, Mapping) or "kind" not in plain:
        raise ValueError(f"{where}: found {plain!r}, needed a table with its kind")
    values = {name: _frozen(item) for name, item in plain.items() if name != "kind"}
    named = _from_plain(kind, plain["kind"], f"{where}.kind")
    return Fact(named, tuple(sorted(values.items())))


def _members(kind: Any) -> tuple[str, ...]:
    """Every member of a closed list, or of several."""
    lists = typing.get_args(kind) or (kind,)
    return tuple(str(member) for members in lists for member in members)


def _frozen(value: Any) -> Any:
    return tuple(_frozen(item) for item in value) if isinstance(value, list | tuple) else value


def _leaf(kind: Any, plain: Any, where: str) -> Any:  # noqa: PLR0911
    if dataclasses.is_dataclass(kind):
        return _dataclass(typing.cast(type, kind), plain, where)
    if issubclass(kind, tuple):  # a named tuple
        return kind(*plain)
    if issubclass(kind, enum.StrEnum):
        if plain not in tuple(kind):
            raise ValueError(f"{where}: found {plain!r}, needed one of {', '.join(kind)}")
        return kind(plain)
    if kind in (Decimal, Path):
        return kind(plain)
    if kind is float and isinstance(plain, str):
        return float(plain)
    if kind is float and isinstance(plain, int) and not isinstance(plain, bool):
        return plain
    if not isinstance(plain, kind):
        raise ValueError(f"{where}: found {plain!r}, needed {kind.__name__}")
    return plain


def _dataclass(kind: type, plain: Any, where: str) -> Any:
    if not isinstance(plain, Mapping):
        raise ValueError(f"{where}: found {plain!r}, needed a table")
    hints = _hints(kind)
    known = {f.name: f for f in dataclasses.fields(kind) if f.init}
    # A field that had another name when something was signed says so: metadata={"was": "text"}.
    renamed = {f.metadata["was"]: name for name, f in known.items() if "was" in f.metadata}
    plain = {renamed.get(name, name): value for name, value in plain.items()}
    unknown = sorted(set(plain) - set(known))
    if unknown:
        raise ValueError(f"{where}: unknown field {unknown[0]!r}")
    values = {
        name: _from_plain(hints[name], plain[name], f"{where}.{name}")
        for name in known
        if name in plain
    }
    # TOML has no null: an absent field is None where the type allows it and there is no default.
    for name, field in known.items():
        bare = field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
        if name not in values and bare:
            if type(None) not in typing.get_args(hints[name]):
                raise ValueError(f"{where}: field {name!r} is missing")
            values[name] = None
    return kind(**values)


@cache
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _tuple(args: tuple[Any, ...], plain: Any, where: str) -> tuple[Any, ...]:
    if len(args) == 2 and args[1] is Ellipsis:
        return tuple(_from_plain(args[0], item, f"{where}[{i}]") for i, item in enumerate(plain))
    pairs = enumerate(zip(args, plain, strict=True))
    return tuple(_from_plain(arg, item, f"{where}[{i}]") for i, (arg, item) in pairs)


def _first_fit(kinds: list[Any], plain: Any, where: str) -> Any:
    problems = []
    for kind in kinds:
        try:
            return _from_plain(kind, plain, where)
        except (ValueError, TypeError, ArithmeticError) as problem:
            problems.append(str(problem))
    raise ValueError("; ".join(problems))
