"""Pieces placed by hand: what is shown of them, and a form turned into the next state."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact, fact
from roomcheck.geometry import Face, Rectangle
from roomcheck.job import (
    Forbid,
    Job,
    Layout,
    LayoutAct,
    LayoutChanged,
    Placement,
    StockPiece,
    keep_layout,
    read_layouts,
)
from roomcheck.recommend import refusals
from roomcheck.typed import parse_length

IMPERIAL_STEP_M, METRIC_STEP_M = 0.0254, 0.01
"""What dragging snaps to: an inch, a centimetre. [m]"""

TRIED_M, HEIGHTS_M = 0.15, (0.76, 1.2, 0.3, 1.6)
"""Steps along a face, and lower edges, at which a new piece is tried. [m]"""

Form = Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """Pieces that are being changed."""

    base: str
    """ "plan:2" or "state:7"."""
    pieces: tuple[Placement, ...]
    began_with: tuple[Placement, ...]
    """The pieces of the base itself."""
    pinned: tuple[str, ...] = ()
    forbidden: tuple[Forbid, ...] = ()

    @classmethod
    def of(cls, layout: Layout) -> State:
        return cls(
            base=f"state:{layout.number}",
            pieces=layout.pieces,
            began_with=layout.pieces,
            pinned=layout.pinned,
            forbidden=layout.forbidden,
        )

    def named(self, name: str) -> Placement:
        """A piece by its name.

        Raises
        ------
        RoomcheckError
        """
        for placed in self.pieces:
            if placed.name == name:
                return placed
        raise RoomcheckError(f"there is no piece {name!r} any more; look at the drawing again")

    def with_piece(self, placed: Placement) -> State:
        """The same with one piece elsewhere."""
        pieces = tuple(placed if p.name == placed.name else p for p in self.pieces)
        return replace(self, pieces=pieces)


Change = tuple[Fact[LayoutAct], State]


def moved(job: Job, state: State, form: Form) -> Change:
    """A piece elsewhere, on its face or another one; on whole inches or centimetres."""
    old = state.named(form.get("name", ""))
    face = _face(job, form.get("face") or old.face)
    step_m = IMPERIAL_STEP_M if job.units == "imperial" else METRIC_STEP_M
    left_m, bottom_m = _length_m(form, "left", "u"), _length_m(form, "bottom", "v")
    if "u" in form:
        left_m, bottom_m = (round(x / step_m) * step_m for x in (left_m, bottom_m))
    if job.shop.piece(old.piece).kind == "corner":
        left_m = 0.0
    place = replace(old.place, u_m=round(left_m, 5), v_m=round(bottom_m, 5))
    placed = replace(old, face=face.name, place=place)
    return fact(LayoutAct.MOVED, name=old.name, face=face.name), state.with_piece(placed)


def turned(job: Job, state: State, form: Form) -> Change:
    """A piece turned by a quarter about its middle."""
    old = state.named(form.get("name", ""))
    piece = job.shop.piece(old.piece)
    if not piece.turns:
        raise RoomcheckError(f"a {piece.name} is not built to be turned")
    u_m, v_m = old.place.centre
    wide_m, high_m = old.place.height_m, old.place.width_m
    corner = (round(u_m - wide_m / 2, 5), round(v_m - high_m / 2, 5))
    place = Rectangle(*corner, wide_m, high_m)
    return fact(LayoutAct.TURNED, name=old.name), state.with_piece(replace(old, place=place))


def added(job: Job, state: State, form: Form) -> Change:
    """One more piece of the stock, at the first place of the face where it may hang."""
    face = _face(job, form.get("face", ""))
    stock = {piece.name: piece for piece in job.shop.stock}
    piece = stock.get(form.get("piece", ""))
    if piece is None:
        raise RoomcheckError("choose a piece of the shop's stock first")
    name = _fresh_name(job, state)
    why = ""
    for place in _places(face, piece):
        placed = Placement(name=name, piece=piece.name, face=face.name, place=place)
        pieces = (*state.pieces, placed)
        refused = [one for one in refusals(job, pieces) if one.name == name]
        if not refused:
            act = fact(LayoutAct.ADDED, name=name, piece=piece.name, face=face.name)
            return act, replace(state, pieces=pieces)
        why = why or refused[0].why
    raise RoomcheckError(f"no place on the {face.name} takes one more {piece.name}: {why}")


def removed(_job: Job, state: State, form: Form) -> Change:
    old = state.named(form.get("name", ""))
    pieces = tuple(p for p in state.pieces if p is not old)
    pinned = tuple(name for name in state.pinned if name != old.name)
    return fact(LayoutAct.REMOVED, name=old.name), replace(state, pieces=pieces, pinned=pinned)


def pinned(_job: Job, state: State, form: Form) -> Change:
    old = state.named(form.get("name", ""))
    if old.name in state.pinned:
        left = tuple(name for name in state.pinned if name != old.name)
        return fact(LayoutAct.UNPINNED, name=old.name), replace(state, pinned=left)
    return fact(LayoutAct.PINNED, name=old.name), replace(state, pinned=(*state.pinned, old.name))


def forbidden(job: Job, state: State, form: Form) -> Change:
    """A piece taken away, and nothing at its place when the plan is made anew."""
    old = state.named(form.get("name", ""))
    _, without = removed(job, state, form)
    no = Forbid(face=old.face, place=old.place)
    there = replace(without, forbidden=(*state.forbidden, no))
    return fact(LayoutAct.FORBIDDEN, name=old.name), there


def allowed(_job: Job, state: State, _form: Form) -> Change:
    return fact(LayoutAct.ALLOWED), replace(state, forbidden=())


CHANGES: Mapping[str, Callable[[Job, State, Form], Change]] = {
    "move": moved,
    "turn": turned,
    "add": added,
    "remove": removed,
    "pin": pinned,
    "forbid": forbidden,
    "allow": allowed,
}


def change(job: Job, what: str, state: State, form: Form) -> Layout:
    """Make the next state, by one change.

    Raises
    ------
    RoomcheckError
        A hard rule is against it, or somebody changed the pieces meanwhile; nothing was changed.
    """
    act, there = CHANGES[what](job, state, form)
    name = str(act.get("name", ""))
    refused = next((one for one in refusals(job, there.pieces) if one.name == name), None)
    if refused is not None and what in ("move", "turn"):
        raise RoomcheckError(f"{name} cannot hang there: {refused.why}. Nothing was changed.")
    return keep(job, act, there)


def keep(job: Job, act: Fact[LayoutAct], state: State) -> Layout:
    """Write a changed state as the newest; before it a plan's own pieces, if it was made of those.

    Raises
    ------
    RoomcheckError
        There is a newer state than the one that was changed.
    """
    kind, _, number = state.base.partition(":")
    after = int(number)
    if kind == "plan":
        began = fact(LayoutAct.STARTED, number=after)
        after = keep_layout(job.folder, began, state.began_with).number
    try:
        return keep_layout(
            job.folder,
            act,
            state.pieces,
            pinned=state.pinned,
            forbidden=state.forbidden,
            after=after,
        )
    except LayoutChanged as problem:
        raise RoomcheckError(
            "somebody changed the pieces meanwhile, in another window; look at them, then do it "
            "again. Nothing was changed."
        ) from problem


def _fresh_name(job: Job, state: State) -> str:
    """A name that no piece of any state ever had."""
    known = {p.name for layout in read_layouts(job.folder) for p in layout.pieces}
    known |= {p.name for p in state.pieces}
    numbers = [int(name[1:]) for name in known if name[1:].isdecimal()]
    return f"A{max(numbers, default=0) + 1}"


def _places(face: Face, piece: StockPiece) -> Sequence[Rectangle]:
    wide_m, high_m = piece.width_m, piece.height_m
    if piece.kind == "corner":
        return [Rectangle(0.0, bottom_m, wide_m, high_m) for bottom_m in (0.13, 1.4)]
    steps = range(1 + max(int((face.width_m - wide_m) / TRIED_M), 0))
    heights: Sequence[float] = HEIGHTS_M
    if face.kind != "wall":
        heights = [0.2 + 0.3 * i for i in range(1 + max(int((face.height_m - high_m) / 0.3), 0))]
    return [Rectangle(0.06 + TRIED_M * i, v_m, wide_m, high_m) for v_m in heights for i in steps]


def _face(job: Job, name: str) -> Face:
    if name not in [face.name for face in job.room.faces]:
        raise RoomcheckError(f"{name!r} is no wall or ceiling of this room")
    return job.room.face(name)


def _length_m(form: Form, typed: str, dragged: str) -> float:
    if dragged in form:
        try:
            return float(form[dragged])
        except ValueError as problem:
            raise RoomcheckError(f"not understood: {problem}") from problem
    return parse_length(form.get(typed, ""))
