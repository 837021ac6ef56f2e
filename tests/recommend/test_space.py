"""Free areas of faces against areas worked out by hand."""

from __future__ import annotations

import made_up_rooms as made
import pytest

from roomcheck.geometry import Rectangle, Room
from roomcheck.job import Fixing, Framing, FramingKind, KeepClear, Patch
from roomcheck.recommend.places.candidates import candidates
from roomcheck.recommend.places.held import may_hang
from roomcheck.recommend.places.space import free_spans, zones

L_ROOM = Room(
    corners=((0, 0), (6, 0), (6, 3), (3, 3), (3, 5), (0, 5)),
    height_m=2.6,
    wall_names=("a", "b", "c", "d", "e", "f"),
)


def test_a_window_leaves_room_on_its_four_sides():
    window = Patch(
        name="w",
        face="south",
        material="glass",
        place=Rectangle(1.5, 1.0, 1.0, 1.0),
        opening=True,
        clearance_m=0.1,
    )
    job = made.job(patches=(window,))
    face = job.room.face("south")
    # By hand: 4.4 x 2.6 m, 0.05 off the sides, 0.12 off the floor, 0.0254 under the ceiling; window
    # 1.4 to 2.6 wide and 0.9 to 2.1 high with its clearance.
    kept = zones(job, face)
    beside = (pytest.approx((0.05, 1.4)), pytest.approx((2.6, 4.35)))
    assert free_spans(face, kept, 1.2, 0.3) == beside
    assert free_spans(face, kept, 0.12, 2.6 - 0.0254 - 0.12) == beside
    for from_m, high_m in ((0.12, 0.78), (2.1, 2.6 - 0.0254 - 2.1)):
        assert free_spans(face, kept, from_m, high_m) == (pytest.approx((0.05, 4.35)),)


def test_a_clearance_counts_and_a_zone_on_another_wall_does_not():
    near = KeepClear(
        name="outlet",
        face="north",
        kind="outlet",
        place=Rectangle(2.0, 0.3, 0.1, 0.1),
        clearance_m=0.2,
    )
    job = made.job(keep_clear=(near,))
    north, south = job.room.face("north"), job.room.face("south")
    assert len(free_spans(north, zones(job, north), 0.15, 0.2)) == 2
    assert free_spans(north, zones(job, north), 0.15, 0.2)[0][1] == pytest.approx(1.8)
    assert len(free_spans(south, zones(job, south), 0.15, 0.2)) == 1


def test_an_l_shaped_ceiling_keeps_its_notch_free():
    job = made.job(L_ROOM)
    ceiling = job.room.face("ceiling")
    # By hand: 0.15 m off every edge: 5.7 m wide over 2.7 m, and 2.7 m wide over all 4.7 m.
    for high_m, wide_m in ((2.7, 5.7), (4.7, 2.7)):
        ((start_m, end_m),) = free_spans(ceiling, zones(job, ceiling), 0.15, high_m)
        assert end_m - start_m == pytest.approx(wide_m)


def test_corner_pieces_stand_in_the_five_corners_that_open_into_the_room():
    job = made.job(L_ROOM, shop=made.shop(made.CORNER))
    places = {c.face for c in candidates(job)}
    # a ends at (6, 0), b at (6, 3), d at (3, 5), e at (0, 5), f at (0, 0); c ends at (3, 3), which
    # juts in.
    assert places == {"a", "b", "d", "e", "f"}


@pytest.mark.parametrize(
    ("rule", "hung"),
    [("screws", {"panel 2 in", "felt tile"}), ("adhesive", {"felt tile"}), ("nothing", set())],
)
def test_a_fixing_rule_decides_what_may_hang(rule, hung):
    job = made.job(fixings=(Fixing(face="south", rule=rule),), shop=made.shop(made.THIN, made.FELT))
    assert {c.piece.name for c in candidates(job) if c.face == "south"} == hung
    assert {c.piece.name for c in candidates(job) if c.face == "north"} == {
        "panel 2 in",
        "felt tile",
    }


def test_nothing_hangs_where_a_tall_person_walks():
    low, high = made.job(Room.box(4, 3, 2.15)), made.job(Room.box(4, 3, 2.30))
    assert not may_hang(low, made.CLOUD, low.room.face("ceiling"))
    assert may_hang(high, made.CLOUD, high.room.face("ceiling"))


def test_a_heavy_piece_goes_where_its_studs_are():
    """A 48 in cleat meets 3 studs at 16 in on centre only in some places; a 24 in one never does
    (trade arithmetic)."""
    heavy = made.piece("heavy", "panel", (48, 24), 4, ("wall",), weight_kg=30.0)
    studs = Framing(
        face="south",
        kind=FramingKind.WOOD_STUDS,
        sheathing_m=0.0127,
        spacing_m=0.4064,
        first_m=0.3683,
    )
    job = made.job(framing=(studs,), shop=made.shop(heavy))
    here = [c for c in candidates(job) if c.face == "south"]
    assert here
    centres = [0.3683 + 0.4064 * k for k in range(12)]
    for c in here:
        assert c.place.width_m > 1
        assert sum(c.place.u_m + 0.057 <= s <= c.place.right_m - 0.057 for s in centres) >= 3
