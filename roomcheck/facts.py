"""Facts: a kind from a closed list, with the values that go with it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Generic, TypeVar


class Kind(StrEnum):
    """A closed list; `roomcheck.words` has a sentence for every member of every subclass."""


K = TypeVar("K", bound=Kind)

Value = str | float | int | bool | None | tuple["Value", ...]


@dataclass(frozen=True, slots=True)
class Fact(Generic[K]):
    """What is the case, for code to decide by and for `roomcheck.words` to put in a sentence.

    Made by `fact`, which sorts the values, so that equal facts are equal.

    >>> class Weather(Kind):
    ...     RAIN = "rain"
    >>> str(fact(Weather.RAIN, depth_m=0.012))
    'rain: depth_m=0.012'
    """

    kind: K
    """What is the case."""
    values: tuple[tuple[str, Value], ...] = ()
    """Names with their unit as suffix (`lacking_db`), and what was found."""

    def __getitem__(self, name: str) -> Any:
        for key, value in self.values:
            if key == name:
                return value
        raise KeyError(f"{self.kind}: no value {name!r}")

    def get(self, name: str, default: Any = None) -> Any:
        """Return a value, or `default` where the fact has none of that name."""
        return next((value for key, value in self.values if key == name), default)

    def __str__(self) -> str:
        inside = ", ".join(f"{key}={_short(value)}" for key, value in self.values)
        return f"{self.kind}: {inside}" if inside else str(self.kind)


def fact(kind: K, **values: Value) -> Fact[K]:
    """Make a fact; values that are None are left out."""
    return Fact(kind, tuple(sorted((k, v) for k, v in values.items() if v is not None)))


def _short(value: Value) -> str:
    return f"{value:.4g}" if isinstance(value, float) else str(value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """One quantity with what is known of its uncertainty; the field that holds it says the unit."""

    value: float
    u: float | None = None
    """Half of what to both sides holds 95 % by Student's t, in the unit of `value`: the standard
    uncertainty where much stands behind it. None where it is not known."""
    spread: float | None = None
    """Standard deviation over positions, in the unit of `value`; None for a single one."""
    n: int = 1
    """Number of positions behind it."""
    freedom: float | None = None
    """Degrees of freedom behind `u`; None where they count as many."""
