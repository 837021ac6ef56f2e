"""Pieces as a person asks for them after signing: some left out, exchanged, moved or added."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Rectangle
from roomcheck.job import Job, Placement, StockPiece
from roomcheck.typed import parse_length

Where = Sequence[str]
"""A face, and the distances from its left and its bottom edge, as typed."""


class NoSuchExchange(RoomcheckError):
    """A name that no piece, stock piece or face has."""

    def __init__(self, word: str, known: Sequence[str]) -> None:
        self.word = word
        super().__init__(f'"{word}" names nothing here; known: {", ".join(known) or "nothing"}')


@dataclass(frozen=True, slots=True, kw_only=True)
class Exchange:
    """What a client wants otherwise, as it is worded."""

    remove: tuple[str, ...] = ()
    """Names of pieces to be left out."""
    exchange: tuple[tuple[str, str], ...] = ()
    """Name of a piece, and the stock piece that hangs there instead, about the same middle."""
    move: tuple[tuple[str, str, str, str], ...] = ()
    """Name of a piece, face, left, bottom."""
    add: tuple[tuple[str, str, str, str], ...] = ()
    """Stock piece, face, left, bottom."""


def exchanged(
    job: Job, pieces: Sequence[Placement], wish: Exchange, taken: Collection[str] = ()
) -> tuple[Placement, ...]:
    """Pieces after a wish; names stay what they are, and what is new gets one that none had.

    Parameters
    ----------
    job : Job
    pieces : sequence of Placement
        As they stand.
    wish : Exchange
    taken : collection of str
        Names that were given before, of pieces that may be gone.

    Raises
    ------
    NoSuchExchange, LengthError
        A word that names nothing, or is no length. Whether each piece may hang there is another
        question: `refusals`.
    """
    there = {piece.name: piece for piece in pieces}
    names = {*there, *taken}
    for name in wish.remove:
        del there[_known(name, there)]
    for name, stock in wish.exchange:
        there[name] = _instead(there[_known(name, there)], _stock(job, stock))
    for name, *where in wish.move:
        old = there[_known(name, there)]
        size = (old.place.width_m, old.place.height_m)
        there[name] = _hung(job, name, job.shop.piece(old.piece), where, size)
    for stock, *where in wish.add:
        piece = _stock(job, stock)
        name = _fresh(names)
        names.add(name)
        there[name] = _hung(job, name, piece, where, (piece.width_m, piece.height_m))
    return tuple(there.values())


def _instead(old: Placement, piece: StockPiece) -> Placement:
    """Another piece about the same middle, upright as it was."""
    u_m, v_m = old.place.centre
    wide_m, high_m = piece.width_m, piece.height_m
    left_m = 0.0 if piece.kind == "corner" else u_m - wide_m / 2
    place = _place(left_m, v_m - high_m / 2, (wide_m, high_m))
    return replace(old, piece=piece.name, place=place, reasons=())


def _hung(
    job: Job, name: str, piece: StockPiece, where: Where, size_m: tuple[float, float]
) -> Placement:
    face, left, bottom = where
    faces = [one.name for one in job.room.faces if one.kind != "floor"]
    if face not in faces:
        raise NoSuchExchange(face, faces)
    left_m = 0.0 if piece.kind == "corner" else parse_length(left)
    place = _place(left_m, parse_length(bottom), size_m)
    return Placement(name=name, piece=piece.name, face=face, place=place)


def _place(left_m: float, bottom_m: float, size_m: tuple[float, float]) -> Rectangle:
    return Rectangle(*(round(x, 5) for x in (left_m, bottom_m, *size_m)))


def _known(name: str, there: Collection[str]) -> str:
    if name not in there:
        raise NoSuchExchange(name, tuple(there))
    return name


def _stock(job: Job, name: str) -> StockPiece:
    known = [piece.name for piece in job.shop.stock]
    if name not in known:
        raise NoSuchExchange(name, known)
    return job.shop.piece(name)


def _fresh(names: Collection[str]) -> str:
    """A name that no piece has or had."""
    numbers = [int(name[1:]) for name in names if name[1:].isascii() and name[1:].isdecimal()]
    return f"A{max(numbers, default=0) + 1}"
