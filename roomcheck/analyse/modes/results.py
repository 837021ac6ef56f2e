"""The low end of a visit: standing waves and frequency responses."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median
from typing import Literal

from roomcheck.facts import Fact, Kind

Axis = Literal["length", "width", "height"]
ModeKind = Literal["axial", "tangential", "oblique"]

AXES: tuple[Axis, Axis, Axis] = ("length", "width", "height")
MODE_KINDS: tuple[ModeKind, ModeKind, ModeKind] = ("axial", "tangential", "oblique")
"""Between one pair of surfaces, between two, between all three."""


class ModesReason(Kind):
    """Why no modes are listed, or what to know of those that are."""

    RECORDS_TOO_SHORT = "records too short"
    NO_SPAN = "no room for a mode"
    FAINT_LINES = "faint lines"
    NOT_STABLE = "no stable modes"
    NOT_SEPARATED = "not separated"
    UNLIKE_THE_ROOM = "unlike the room"
    CROWDED = "crowded above"
    RECORDS_END = "records end early"
    FEW_POSITIONS = "few positions"
    NOT_A_BOX = "not a box"


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxMode:
    """One standing wave between the rigid walls of a box."""

    frequency_hz: float
    """[Hz]"""
    order: tuple[int, int, int]
    """Half waves along length (x), width (y) and height."""

    @property
    def kind(self) -> ModeKind:
        """By how many pairs of surfaces it stands between."""
        return MODE_KINDS[sum(n > 0 for n in self.order) - 1]

    @property
    def axes(self) -> tuple[Axis, ...]:
        """Which of length, width and height it stands along."""
        return tuple(axis for axis, n in zip(AXES, self.order, strict=True) if n)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomMode:
    """One standing wave as measured."""

    frequency_hz: float
    """[Hz]"""
    frequency_u_hz: float
    """Its standard uncertainty, from place to place and never below the Cramér-Rao bound [Hz]."""
    decay_s: float
    """Time for 60 dB [s]."""
    decay_u_s: float
    """Its standard uncertainty [s]."""
    level_db: float
    """Energy at the start, mean over the positions, re the strongest of the room's modes [dB]."""
    range_db: float
    """Its peak in the spectrum over the noise there, mean over the positions [dB]."""
    late_db: float | None
    """How far it stands over what is left beside it 150 ms after the onset; None where that is
    noise [dB]."""
    box: BoxMode | None = None
    """The standing wave that the room's size predicts there; None where none is."""
    others: tuple[BoxMode, ...] = ()
    """Further ones that fit as well."""

    @property
    def bandwidth_hz(self) -> float:
        """Width at half power, 3 ln 10 / (pi T). [Hz]"""
        return 3 * math.log(10) / (math.pi * self.decay_s)

    @property
    def q(self) -> float:
        """pi f T / (3 ln 10). [1]"""
        return self.frequency_hz / self.bandwidth_hz


@dataclass(frozen=True, slots=True, kw_only=True)
class Modes:
    """The room's standing waves below its transition frequency."""

    from_hz: float
    """Where the search began [Hz]."""
    to_hz: float
    """Where the search ended [Hz]."""
    found: tuple[RoomMode, ...]
    """By rising frequency."""
    not_found: tuple[BoxMode, ...]
    """Those that the room's size predicts there and that were not separated."""
    positions: int
    """How many responses were taken together."""
    reasons: tuple[Fact[ModesReason], ...] = ()
    """Why there are none, and what to know of those that are there."""

    @property
    def longest(self) -> RoomMode | None:
        """The mode that rings longest relative to its neighbours."""

        def relative(mode: RoomMode) -> float:
            return mode.decay_s / self.neighbours_s(mode)

        return max(self.found, key=relative, default=None)

    def neighbours_s(self, mode: RoomMode) -> float:
        """Median decay of the modes within half an octave on either side; its own where there are
        none. [s]"""
        near = [
            other.decay_s
            for other in self.found
            if other is not mode and abs(math.log2(other.frequency_hz / mode.frequency_hz)) <= 0.5
        ]
        return median(near) if near else mode.decay_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """How loud each frequency is at one position, the room's decay and all."""

    source: str
    microphone: str
    hz: tuple[float, ...]
    """24 in an octave [Hz]."""
    level_db: tuple[float, ...]
    """Smoothed over a twelfth of an octave (below 200 Hz a twenty-fourth); 0 dB is the mean power
    of 250 Hz to 2 kHz unless `absolute` [dB]."""
    clear_from_hz: float
    """From here the response stands 10 dB or more over its noise [Hz]."""
    clear_to_hz: float
    """Up to here [Hz]."""
    absolute: bool = False
    """True: dB re 20 uPa for a source that gives what the sweep gave."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dip:
    """A hole in the response."""

    frequency_hz: float
    """[Hz]"""
    depth_db: float
    """Below the median of an octave around it [dB]."""
    width_octaves: float
    """Where it is half as deep."""
