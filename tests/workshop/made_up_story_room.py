"""A made-up story room of a made-up town library, by hand."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import (
    Fixing,
    Framing,
    FramingKind,
    Job,
    KeepClear,
    Patch,
    Placement,
    Position,
    Shop,
    default_shop,
)
from roomcheck.predict import Prediction
from roomcheck.recommend import Plan, PlanKind, Promise

IN = 0.0254


def made_up_job(
    *,
    shop: Shop | None = None,
    framing: tuple[Framing, ...] | None = None,
    fixings: tuple[Fixing, ...] = (),
    patches: tuple[Patch, ...] = (),
    keep_clear: tuple[KeepClear, ...] = (),
    units: str = "imperial",
) -> Job:
    """14' 6" by 11' 10" by 8' 6", half-inch gypsum on studs at 16 in, the first 14-1/2 in from the
    left."""
    room = Room.box(174 * IN, 142 * IN, 102 * IN)
    if framing is None:
        walls = ("south", "east", "north", "west", "ceiling")
        framing = tuple(
            Framing(
                face=face,
                kind=FramingKind.WOOD_STUDS,
                sheathing_m=IN / 2,
                spacing_m=16 * IN,
                first_m=14.5 * IN,
            )
            for face in walls
        )
    return Job(
        folder=Path("made-up"),
        made_up=True,
        client="Client A, a made-up town library",
        title="Story room",
        complaint="Everybody sounds as if they spoke from the bottom of a bucket.",
        use="podcast room",
        own_target=None,
        units=units,
        paper="letter",
        currency="$",
        budget=Decimal(4200),
        room=room,
        materials=tuple((face.name, "gypsum board on studs") for face in room.faces),
        patches=patches,
        keep_clear=keep_clear,
        framing=framing,
        fixings=fixings,
        furnishings=(),
        sources=(Position(name="S1", point=Point(1.0, 1.0, 1.2)),),
        microphones=(Position(name="P1", point=Point(3.0, 2.0, 1.2)),),
        seat="P1",
        visits=(),
        shop=shop or default_shop(),
    )


def made_up_plan(*pieces: Placement) -> Plan:
    """Pieces at places, with nothing predicted or promised."""
    prediction = Prediction(
        before=(),
        after=(),
        mid_likely_s=None,
        mid_low_s=None,
        mid_high_s=None,
        transition_hz=None,
        calibrated=False,
    )
    promise = Promise(bands=(), mid_low_s=None, mid_high_s=None, positions=6, conditions=())
    return Plan(
        kind=PlanKind.TARGET,
        pieces=pieces,
        prediction=prediction,
        promise=promise,
        reaches_target=False,
        shortfalls=(),
        gain_per_piece=(),
    )


def on(
    face: str, name: str, piece: str, left_in: float, bottom_in: float, w_in: float, h_in: float
) -> Placement:
    """A piece by its left and bottom edges. [in]"""
    return Placement(
        name=name,
        piece=piece,
        face=face,
        place=Rectangle(*(x * IN for x in (left_in, bottom_in, w_in, h_in))),
    )
