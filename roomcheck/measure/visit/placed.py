"""What is asked about the place of a take before it becomes one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from roomcheck.facts import Fact
from roomcheck.measure.signal.signals import ImpulseResponse


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceHeard:
    """What a take's sound says of its place."""

    doubts: tuple[Fact[Any], ...] = ()
    """Each a reason to ask whether the take is of the place and visit named."""
    notes: tuple[Fact[Any], ...] = ()
    """What the sound cannot tell."""
    facts: Mapping[str, Any] = field(default_factory=dict)
    """To keep with the take."""


class Look(Protocol):
    """Listens whether a take is of its place; may raise a `RecordingError`, then nothing is
    written."""

    def __call__(
        self, response: ImpulseResponse, *, visit: str, pair: tuple[str, str], sha256: str
    ) -> PlaceHeard: ...
