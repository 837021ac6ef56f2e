"""Rails: one long wall cleat for pieces of a row whose own cleats would not hold them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from roomcheck.geometry import Face, Rectangle
from roomcheck.job import (
    OFF_M,
    Framing,
    RailLoad,
    ShopPractice,
    WallCleat,
    best_rail,
    cleat_kg,
    rail_ratio,
    wall_screw,
)
from roomcheck.workshop.results import Rail

_MOST_PIECES = 8
"""No more pieces are tried on one rail: it is as long as a sheet at the most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OnRow:
    """A piece of a row, as a rail sees it."""

    index: int
    """Of the piece among all."""
    name: str
    place: Rectangle
    load: RailLoad
    holds: bool
    """Whether its own cleat holds it."""
    may: bool
    """Whether a rail may carry it."""
    rail_m: float
    """Longest rail that may [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OnRail:
    """A rail and how it is fixed."""

    rail: Rail
    cleat: WallCleat
    counted_kg: float
    """Of all its pieces and itself [kg]."""
    play_m: float
    """How far any of its pieces may slide [m]."""


@dataclass(frozen=True, slots=True)
class _Choice:
    """Rails for the first pieces of a row."""

    refused: int = 0
    carried: int = 0
    long_m: float = 0.0
    end_m: float = 0.0
    """Right end of the last rail [m]."""
    rails: tuple[tuple[int, int, WallCleat], ...] = ()
    """First piece, one past the last, and the rail itself."""

    @property
    def worth(self) -> tuple[float, ...]:
        return self.refused, len(self.rails), self.carried, self.long_m


class RowRails:
    """The fewest rails that carry what does not hold alone, in one row of a wall."""

    def __init__(
        self,
        framing: Framing,
        face: Face,
        row: Sequence[OnRow],
        practice: ShopPractice,
        step_m: float,
        at_m: float,
        free: Callable[[Rectangle, frozenset[int]], bool],
    ) -> None:
        self.framing, self.face, self.practice = framing, face, practice
        self.row = sorted(row, key=lambda piece: piece.place.u_m)
        self.step_m, self.at_m, self.free = step_m, at_m, free

    def chosen(self, first: int) -> list[OnRail]:
        """Rails, numbered from `first`."""
        best = [_Choice()]
        for end in range(1, len(self.row) + 1):
            ways = [self._alone(best[end - 1], end - 1)]
            for start in range(max(end - _MOST_PIECES, 0), end):
                way = self._together(best[start], start, end)
                ways += [] if way is None else [way]
            best.append(min(ways, key=lambda way: way.worth))
        return [
            self._on_rail(self.row[start:end], cleat, f"R{number}")
            for number, (start, end, cleat) in enumerate(best[-1].rails, first)
        ]

    def _alone(self, before: _Choice, i: int) -> _Choice:
        lacking = not self.row[i].holds
        return _Choice(
            before.refused + lacking, before.carried, before.long_m, before.end_m, before.rails
        )

    def _together(self, before: _Choice, start: int, end: int) -> _Choice | None:
        """A rail under the pieces from `start` on, between their neighbours."""
        pieces = self.row[start:end]
        if all(piece.holds for piece in pieces) or not all(piece.may for piece in pieces):
            return None
        on_it = frozenset(piece.index for piece in pieces)
        left_m = max(before.end_m, self.row[start - 1].place.right_m if start else 0.0)
        right_m = self.row[end].place.u_m if end < len(self.row) else self.face.width_m
        cleat = best_rail(
            self.framing,
            self.face,
            [piece.load for piece in pieces],
            (left_m, right_m),
            self.practice,
            self.step_m,
            min(piece.rail_m for piece in pieces),
            lambda left_m, length_m: self.free(self._strip(left_m, length_m), on_it),
        )
        if cleat is None or cleat.left_m < left_m - 1e-9:
            return None
        return _Choice(
            before.refused,
            before.carried + len(pieces),
            before.long_m + cleat.length_m,
            cleat.left_m + cleat.length_m,
            (*before.rails, (start, end, cleat)),
        )

    def _strip(self, left_m: float, length_m: float) -> Rectangle:
        """What a rail takes of the wall."""
        return Rectangle(left_m, self.at_m, length_m, self.practice.cleat_width_m)

    def _on_rail(self, pieces: Sequence[OnRow], cleat: WallCleat, name: str) -> OnRail:
        rail = Rail(
            name=name,
            names=tuple(piece.name for piece in pieces),
            left_m=cleat.left_m,
            length_m=cleat.length_m,
            at_m=self.at_m,
        )
        weight_kg = sum(piece.load.weight_kg for piece in pieces)
        return OnRail(
            rail=rail,
            cleat=cleat,
            counted_kg=weight_kg + cleat_kg(cleat.length_m, self.practice),
            play_m=self._play_m(pieces, cleat),
        )

    def _play_m(self, pieces: Sequence[OnRow], cleat: WallCleat) -> float:
        """How far each of them may slide before a screw carries too much. [m]"""
        assert self.framing.sheathing_m is not None
        screw = wall_screw(self.practice, self.framing.sheathing_m)
        assert screw is not None
        loads = [piece.load for piece in pieces]
        play_m = 0.0
        while play_m + self.step_m <= self.practice.freedom_m + 1e-9:
            off_m = OFF_M + play_m + self.step_m
            ratio = rail_ratio(screw, self.practice, cleat, loads, off_m)
            if ratio < self.practice.least_ratio:
                break
            play_m += self.step_m
        return play_m
