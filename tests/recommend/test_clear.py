"""Places that stay free because of what is on the floor, overhead or not wanted; checked by the
second pair of eyes."""

from __future__ import annotations

import layout_check
import made_up_rooms as made
import pytest

from roomcheck.geometry import Rectangle
from roomcheck.job import Fixing, Forbid, KeepClear, Placement
from roomcheck.recommend.places.candidates import candidates
from roomcheck.recommend.places.clear import clipped, projects
from roomcheck.recommend.places.clear import footprint as outline_of

IN = 0.0254
ABSORBERS = made.shop(made.THIN, made.DEEP, made.CLOUD, made.FELT, made.CORNER)
WALK = KeepClear(
    name="way through", face="floor", kind="walkway", place=Rectangle(0.0, 0.0, 4.4, 1.0)
)
SWING = KeepClear(
    name="door swing", face="floor", kind="door swing", place=Rectangle(3.4, 2.6, 1.0, 1.0)
)
HEAD = KeepClear(
    name="sprinkler",
    face="ceiling",
    kind="sprinkler",
    place=Rectangle(2.0, 0.05, 0.1, 0.1),
    clearance_m=0.457,
)


def places(job, face):
    return [c for c in candidates(job) if c.face == face]


def drawn(found):
    return tuple(
        Placement(name=f"A{i}", piece=c.piece.name, face=c.face, place=c.place, reasons=("x",))
        for i, c in enumerate(found, 1)
    )


def alone(job, found):
    """Complaints about each candidate as if it hung by itself."""
    return [
        line
        for p in drawn(found)
        for line in layout_check.complaints(job, (made.changed(p, name="A1"),))
    ]


@pytest.mark.parametrize("zone", [WALK, SWING, HEAD], ids=lambda z: z.kind)
def test_what_keeps_a_place_free_is_kept_and_seen_by_other_eyes(zone):
    free, kept = made.job(shop=ABSORBERS), made.job(shop=ABSORBERS, keep_clear=(zone,))
    assert alone(kept, candidates(kept)) == []
    gone = set(candidates(free)) - set(candidates(kept))
    assert gone
    assert any(alone(kept, [c]) for c in gone)


def test_ada_307_2_lets_four_inches_and_low_edges_stand_out():
    """2010 ADA Standards 307.2: leading edges above 27 and up to 80 in may stand out 4 in at most
    into the path."""
    job = made.job(keep_clear=(WALK,))
    south = job.room.face("south")
    for bottom_in, deep, limited in (
        (26.9, 8, False),
        (27.1, 8, True),
        (79.9, 8, True),
        (80.1, 8, False),
    ):
        place = Rectangle(1.0, bottom_in * IN, 24 * IN, 10 * IN)
        outline = outline_of(job.room, made.DEEP, south, place)
        assert (projects(south, place, outline, WALK) > 4 * IN) is limited
        assert projects(south, place, outline, WALK) == pytest.approx(deep * IN if limited else 0.0)
    assert {c.piece.name for c in places(job, "south") if c.place.v_m > 0.69} <= {
        "panel 2 in",
        "felt tile",
    }
    assert "panel 4 in, 4 in gap" in {c.piece.name for c in places(job, "north")}


def test_a_clipped_outline_has_the_area_worked_out_by_hand():
    triangle = [(0.0, 0.0), (4.0, 0.0), (0.0, 4.0)]
    cut = clipped(triangle, Rectangle(1.0, 1.0, 5.0, 5.0))  # the small triangle (1,1), (3,1), (1,3)
    rounded = {(round(x, 9) + 0.0, round(y, 9) + 0.0) for x, y in cut}
    assert rounded == {(1.0, 1.0), (3.0, 1.0), (1.0, 3.0)}
    assert clipped(triangle, Rectangle(5.0, 5.0, 1.0, 1.0)) == []


def test_a_hung_ceiling_takes_nothing_until_somebody_found_the_structure():
    job = made.job(fixings=(Fixing(face="ceiling", rule="grid"),))
    assert not places(job, "ceiling")
    assert places(made.job(), "ceiling")


def test_only_what_has_lift_points_is_planned_overhead():
    assert {c.piece.kind for c in places(made.job(), "ceiling")} == {"cloud"}


@pytest.mark.parametrize(
    "forbid",
    [
        Forbid(piece="panel 2 in"),
        Forbid(face="north"),
        Forbid(face="north", place=Rectangle(1.0, 0.5, 1.0, 1.0)),
        Forbid(piece="corner trap", face="south"),
    ],
    ids=str,
)
def test_what_is_not_wanted_is_nowhere(forbid):
    job = made.job(shop=ABSORBERS, forbids=(forbid,))
    assert 0 < len(candidates(job)) < len(candidates(made.job(shop=ABSORBERS)))
    assert alone(job, candidates(job)) == []
