"""What is found behind the walls: studs as found carry the piece, every rule checked anew; what can
hurt somebody stops the hole; the sheets and the last page say it."""

from __future__ import annotations

import random
from dataclasses import replace

import made_up_story_room as made
import pytest
from made_up_story_room import IN
from test_random_hangings import hung_at_random, ratio_by_statics

from roomcheck.job import Behind, Found
from roomcheck.job.model.practice import ShopPractice
from roomcheck.workshop import HangingCaution, Refusal
from roomcheck.workshop.hanging.hanging import hanging_lines
from roomcheck.workshop.hanging.placing import Hung

HANGINGS = 200


def with_findings(job, framing, draw):
    """Studs that stand up to 3 in elsewhere or not at all, as a carpenter finds and types some of
    them; where every stud then stands, counted one by one."""
    wide = job.room.face("north").width_m
    stands, seen = [], []
    count = int((wide - framing.first_m) / framing.spacing_m + 1e-9) + 1
    for i in range(count):
        at = framing.first_m + i * framing.spacing_m
        chance = draw.random()
        if chance < 0.1:
            seen.append((at, False))
            continue
        if chance < 0.5:
            at = min(max(at + draw.uniform(-3, 3) * IN, 0.0), wide)
            seen.append((at, True))
        stands.append(at)
    draw.shuffle(seen)
    framing = replace(framing, seen=tuple(seen))
    return replace(job, framing=(framing,)), framing, sorted(stands)


def test_studs_as_found_carry_the_piece_and_statics_are_checked_anew():
    draw, practice = random.Random(20261130), ShopPractice()
    moved = refused = asked = 0
    for _ in range(HANGINGS):
        job, framing, hung = hung_at_random(draw)
        (spaced,) = hanging_lines(job, [hung], practice)
        job, framing, stands = with_findings(job, framing, draw)
        (line,) = hanging_lines(job, [hung], practice)
        for stud in line.studs_m:
            assert min(abs(stud - at) for at in stands) < 1e-6  # nothing is screwed into air
        assert abs(line.moved_m) <= 2 * IN + 1e-9
        if not line.studs_m:
            assert line.refused
            continue
        if line.rail is None:  # test_rails holds the others
            assert line.load_ratio <= 1.01 * ratio_by_statics(line, framing, hung, practice)
        assert bool(line.refused) == (line.load_ratio < practice.least_ratio)
        found = {at for at, there in framing.seen if there}
        open_ones = [stud for stud in line.studs_m if stud not in found]
        cautions = [c for c in line.cautions if c.kind is HangingCaution.FIND_OTHERS]
        assert bool(cautions) == bool(open_ones and framing.seen)
        moved += line.studs_m != spaced.studs_m
        refused += bool(line.refused)
        asked += bool(cautions)
    assert moved > HANGINGS / 4
    assert refused > HANGINGS / 10
    assert asked > HANGINGS / 10


def hung_at(job, left, name="A1"):
    piece = job.shop.piece("4 in panel")
    return Hung(
        placed=made.on("north", name, piece.name, left, 36, 24, 48),
        piece=piece,
        size_m=(24 * IN, 48 * IN),
        frame_m=piece.depth_m,
        weight_kg=9.0,
    )


# A1 hangs from 20 to 44 in, A2 from 70 to 94 in, each 2 in further at most to meet its studs. What
# was found, and who is stopped.
STOPPED = {
    "a cable in A1's middle": ({"what": Behind.CABLE, "at_m": 30 * IN}, {"A1"}),
    "a pipe 5 in beside A1": ({"what": Behind.PIPE, "at_m": 15 * IN}, {"A1"}),
    "a pipe 9 in beside A1": ({"what": Behind.PIPE, "at_m": 11 * IN}, set()),
    "metal between both": ({"what": Behind.METAL, "at_m": 57 * IN}, set()),
    "doubt at A2, nobody measured": ({"what": Behind.DOUBT, "piece": "A2"}, {"A2"}),
    "a cable somewhere": ({"what": Behind.CABLE}, {"A1", "A2"}),
    "a cable on another wall": ({"what": Behind.CABLE, "face": "south"}, set()),
    "typed by mistake": ({"what": Behind.CABLE, "taken_back": True}, set()),
    "a stud": ({"what": Behind.STUD, "at_m": 30 * IN}, set()),
}


@pytest.mark.parametrize(("found", "stopped"), STOPPED.values(), ids=STOPPED)
def test_what_can_hurt_stops_every_hole_near_it(found, stopped):
    job = made.made_up_job()
    job = replace(job, found=(Found(**({"number": 1, "face": "north"} | found)),))
    lines = hanging_lines(job, [hung_at(job, 20), hung_at(job, 70, "A2")], ShopPractice())
    refusals = {
        line.name: [one for one in line.refused if one.kind is Refusal.FOUND_BEHIND]
        for line in lines
    }
    assert {name for name, ones in refusals.items() if ones} == stopped


def test_only_who_is_licensed_lifts_the_stop():
    job = made.made_up_job()
    cable = Found(number=1, face="north", what=Behind.CABLE, at_m=30 * IN)
    cleared = Found(number=2, face="north", what=Behind.CLEARED, of=1, note="B, licence 12")
    for found, stopped in (
        ((cable,), True),
        ((cable, cleared), False),
        ((cable, replace(cleared, of=3)), True),
        ((cable, replace(cleared, taken_back=True)), True),
    ):
        (line,) = hanging_lines(replace(job, found=found), [hung_at(job, 20)], ShopPractice())
        kinds = {one.kind for one in line.refused}
        assert (Refusal.FOUND_BEHIND in kinds) == stopped
