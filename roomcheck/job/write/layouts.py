"""Pieces as a person placed them: every state is a file of its own, written once.

`layouts/` in the job's folder holds them by their numbers; the newest is the one that counts. Who
goes back to an older one writes it again, so that nothing is ever lost.
"""

from __future__ import annotations

import contextlib
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from roomcheck.facts import Fact, Kind, fact
from roomcheck.job.model.job import Forbid, Placement
from roomcheck.job.store.lock import holding
from roomcheck.job.store.together import Put, write_together
from roomcheck.job.write.signed import without_none
from roomcheck.plain import Misfits, from_plain, to_plain

_HEAD = """\
# Where the pieces hang after this change. roomcheck writes these files once and never changes them.

"""
_NAME = re.compile(r"([0-9]{4,6})\.toml")


class LayoutAct(Kind):
    """What a person did to the pieces."""

    MOVED = "moved"
    """`name` to `face`."""
    TURNED = "turned"
    """`name` by a quarter."""
    ADDED = "added"
    """`name`, a `piece`, on `face`."""
    REMOVED = "removed"
    """`name`."""
    PINNED = "pinned"
    """`name` stays where it is when the plan is made anew."""
    UNPINNED = "unpinned"
    """`name` may go elsewhere again."""
    FORBIDDEN = "forbidden"
    """Nothing shall hang where `name` hung."""
    ALLOWED = "allowed"
    """Everything that was not wanted may hang again."""
    AGAIN = "again"
    """Planned anew round what is pinned and forbidden."""
    AIMED = "aimed"
    """Planned anew for another budget or target."""
    BACK = "back"
    """To state `number`."""
    STARTED = "started"
    """From plan `number`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """One state of the pieces."""

    number: int
    """From 1, in the order they were made."""
    act: Fact[LayoutAct]
    """What led to it."""
    pieces: tuple[Placement, ...]
    pinned: tuple[str, ...] = ()
    """Names of pieces that stay when the plan is made anew."""
    forbidden: tuple[Forbid, ...] = ()
    """What shall not hang when it is."""


class LayoutChanged(Exception):
    """Somebody else made a newer state meanwhile."""


def read_layouts(folder: Path | str) -> tuple[Layout, ...]:
    """Every state that can be read, oldest first."""
    found = []
    for path in sorted((Path(folder) / "layouts").glob("*.toml")):
        if _NAME.fullmatch(path.name):
            with contextlib.suppress(OSError, UnicodeDecodeError, tomllib.TOMLDecodeError, Misfits):
                found.append(from_plain(Layout, tomllib.loads(path.read_text("utf-8"))))
    return tuple(found)


def keep_layout(
    folder: Path | str,
    act: Fact[LayoutAct],
    pieces: Sequence[Placement],
    *,
    pinned: Sequence[str] = (),
    forbidden: Sequence[Forbid] = (),
    after: int | None = None,
) -> Layout:
    """Write the next state.

    Parameters
    ----------
    after : int or None
        Number of the state that this one was made from, 0 for none; None where it does not matter.

    Raises
    ------
    LayoutChanged
        There is a newer state than that.
    CannotWrite
        The folder cannot be written.
    """
    import tomlkit

    home = Path(folder)
    with holding(home):
        numbers = [int(m[1]) for m in map(_NAME.fullmatch, _names(home)) if m]
        newest = max(numbers, default=0)
        if after is not None and after != newest:
            raise LayoutChanged
        bare = tuple(
            Placement(name=p.name, piece=p.piece, face=p.face, place=p.place) for p in pieces
        )
        layout = Layout(
            number=newest + 1,
            act=act,
            pieces=bare,
            pinned=tuple(pinned),
            forbidden=tuple(forbidden),
        )
        text = _HEAD + tomlkit.dumps(without_none(to_plain(layout), "layout"))
        name = f"layouts/{layout.number:04d}.toml"
        write_together(home, [Put(path=name, data=text, new=True)])
    return layout


def back_to(folder: Path | str, number: int) -> Layout:
    """Write an older state again, as the newest.

    Raises
    ------
    ValueError
        There is no state of that number.
    """
    for layout in read_layouts(folder):
        if layout.number == number:
            act = fact(LayoutAct.BACK, number=number)
            return keep_layout(
                folder, act, layout.pieces, pinned=layout.pinned, forbidden=layout.forbidden
            )
    raise ValueError(f"number: {number}, needed one of a state that there is")


def _names(home: Path) -> list[str]:
    return [path.name for path in (home / "layouts").glob("*.toml")]
