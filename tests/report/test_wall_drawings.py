"""Wall sheets stay readable for any wall: 3 or 30 pieces, 2 m or 20 m; no text meets another, none
leaves the sheet, every piece is named on one sheet."""

from __future__ import annotations

import random
import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from roomcheck.geometry import Rectangle, Room
from roomcheck.job import Framing, FramingKind, KeepClear, Patch
from roomcheck.report.figures.paper import overlapping
from roomcheck.report.shop_figures.wall_views import WIDE_MM, items_on, stretches, wall_drawing
from roomcheck.words import say
from roomcheck.workshop import FixingKind, HangingLine, Rail

sys.path.insert(0, str(Path(__file__).parents[1] / "workshop"))
import made_up_story_room as made

IN = 0.0254
WALLS = 300


def random_wall(draw):
    """A wall of 2 to 20 m with 3 to 30 pieces, some round a corner, openings and outlets."""
    wide, high = draw.uniform(2, 20), draw.uniform(2.2, 6)
    units = draw.choice(("imperial", "metric"))
    room = Room.box(wide, draw.uniform(3, 12), high)
    framing = Framing(
        face="south",
        kind=FramingKind.WOOD_STUDS,
        sheathing_m=IN / 2,
        spacing_m=draw.choice((16, 24)) * IN,
        first_m=draw.uniform(0, 0.4),
    )
    base = made.made_up_job(units=units)
    job = replace(
        base,
        room=room,
        framing=(framing,),
        patches=tuple(patches(draw, wide, high)),
        keep_clear=tuple(outlets(draw, wide, high)),
    )
    lines = on_rails(draw, list(pieces(draw, framing, wide, high)))
    return job, job.room.face("south"), lines


def patches(draw, wide, high):
    for i in range(draw.randint(0, 3)):
        place = Rectangle(draw.uniform(0, wide - 1), 0.0, 0.9, min(2.0, high - 0.1))
        yield Patch(
            name=draw.choice(("door", "window to the yard", "hatch")) + f" {i}",
            face="south", place=place, material="glass", opening=True,
        )  # fmt: skip


def outlets(draw, wide, high):
    for i in range(draw.randint(0, 4)):
        place = Rectangle(draw.uniform(0, wide - 0.2), draw.uniform(0.2, high - 0.3), 0.08, 0.12)
        yield KeepClear(
            name=f"outlet {i}", kind="outlet", face="south", place=place, clearance_m=0.05
        )


def pieces(draw, framing, wide, high):
    """Pieces in rows that do not overlap; as many of up to 30 as the wall takes."""
    count, left, bottom, tallest = draw.randint(3, 30), 0.05, 0.3, 0.0
    for i in range(1, count + 1):
        w, h = draw.choice(((0.61, 1.22), (1.22, 0.61), (0.3, 0.3), (0.6, 0.6), (0.65, 1.26)))
        w, h = min(w, wide - 0.1), min(h, high - 0.4)
        if left + w > wide - 0.02:
            left, bottom, tallest = 0.05, bottom + tallest + 0.1, 0.0
        if bottom + h > high - 0.02:
            return
        top = bottom + h
        studs = framing.centres_m(left + 0.1, left + w - 0.1, wide)
        yield HangingLine(
            name=f"A{i}", piece="4 in panel", face="south", left_m=left, top_m=top, width_m=w,
            height_m=h, cleat_m=top - 0.18, studs_m=tuple(studs), cautions=(),
            cleat_left_m=left + 0.08, cleat_length_m=max(w - 0.16, 0.1), screws=4, per_stud=2,
            fixing=FixingKind.WOOD_SCREW, right_m=wide - left - w,
        )  # fmt: skip
        left, tallest = left + w + draw.choice((0.0, 0.02, 0.15, 0.6)), max(tallest, h)
    if draw.random() < 0.3 and wide > 3:
        yield HangingLine(
            name="A99", piece="corner trap", face="east", left_m=0.0, top_m=min(1.5, high - 0.1),
            width_m=0.5, height_m=1.2, cleat_m=None, studs_m=(), cautions=(),
            beside="south", beside_left_m=wide - 0.5,
        )  # fmt: skip


def on_rails(draw, lines):
    """Some neighbours of a row on a rail in place of their cleats."""
    for i in range(len(lines) - 1):
        one, other = lines[i], lines[i + 1]
        level = one.cleat_m is not None and one.cleat_m == other.cleat_m
        if not level or one.rail is not None or draw.random() < 0.7:
            continue
        end = other.left_m + other.width_m
        rail = Rail(
            name=f"R{i}", names=(one.name, other.name), left_m=max(one.left_m - 0.1, 0.0),
            length_m=end - one.left_m, at_m=one.cleat_m,
        )  # fmt: skip
        for k in (i, i + 1):
            lines[k] = replace(lines[k], rail=rail, cleat_left_m=None, cleat_length_m=None)
    return tuple(lines)


def check_wall(job, face, lines, tall_mm):
    items = items_on(face, lines, lambda line: line.width_m > line.height_m)
    named = Counter()
    parts = stretches(job, face, items, (WIDE_MM, tall_mm))
    for part in parts:
        paper, left_out = wall_drawing(job, face, part, items)
        assert not overlapping(paper.written), overlapping(paper.written)[:3]
        off = [each.text for each in paper.written if not paper.sheet.holds(each.box)]
        assert not off, off
        assert paper.width_mm <= WIDE_MM
        assert paper.height_mm <= tall_mm + 20
        texts = [each.text.split()[0].rstrip(",") for each in paper.written]
        named.update(text for text in texts if text in {item.name for item in items})
        assert not set(left_out) & {item.name for item in items}
    assert named == Counter(item.name for item in items)
    return len(parts)


@pytest.mark.parametrize("tenth", range(10))
def test_random_walls_are_read(tenth):
    draw = random.Random(1000 + tenth)
    for _ in range(WALLS // 10):
        job, face, lines = random_wall(draw)
        check_wall(job, face, lines, draw.uniform(80, 165))


def test_a_long_wall_takes_several_sheets_and_a_short_one_does_not():
    draw = random.Random(3)
    job, face, lines = random_wall(draw)
    while face.width_m < 18:
        job, face, lines = random_wall(draw)
    assert check_wall(job, face, lines, 120) > 1
    while face.width_m > 4 or len(lines) > 5:
        job, face, lines = random_wall(draw)
    assert check_wall(job, face, lines, 120) == 1


def test_turned_pieces_and_the_other_half_are_marked():
    job = made.made_up_job()
    face = job.room.face("east")
    corner = HangingLine(
        name="A4", piece="corner trap", face="south", left_m=0.0, top_m=1.5, width_m=0.5,
        height_m=1.2, cleat_m=None, studs_m=(), cautions=(), beside="east",
        beside_left_m=face.width_m - 0.5,
    )  # fmt: skip
    (half,) = items_on(face, (corner,), lambda line: False)
    assert half.other_half and half.texts == (say("other_half", name="A4"),)
    assert half.place.right_m == pytest.approx(face.width_m)
    (whole,) = items_on(job.room.face("south"), (corner,), lambda line: True)
    assert whole.texts == ("A4", say("turned"), say("round_corner", wall="east"))


def test_random_walls_are_read_before_anything_hangs_on_them():
    draw = random.Random(77)
    for _ in range(60):
        job, face, _ = random_wall(draw)
        check_wall(job, face, (), 165.0)


def test_an_empty_wall_shows_every_stud_and_where_its_openings_begin():
    # Studs 16 in apart from 8 in on, along 12 ft: 9 of them, the last at 136 in.
    job = replace(
        made.made_up_job(units="imperial"),
        framing=(
            Framing(
                face="south", kind=FramingKind.WOOD_STUDS, sheathing_m=IN / 2, spacing_m=16 * IN,
                first_m=8 * IN,
            ),
        ),
        room=Room.box(144 * IN, 3.0, 96 * IN),
        patches=(
            Patch(
                name="door", face="south", place=Rectangle(30 * IN, 0.0, 36 * IN, 80 * IN),
                material="glass", opening=True,
            ),
        ),
        keep_clear=(),
    )  # fmt: skip
    face = job.room.face("south")
    (part,) = stretches(job, face, (), (WIDE_MM, 165.0))
    paper, _ = wall_drawing(job, face, part)
    texts = Counter(each.text for each in paper.written)
    studs = ['8"', "2'-0\"", "3'-4\"", "4'-8\"", "6'-0\"", "7'-4\"", "8'-8\"", "10'-0\"", "11'-4\""]
    assert all(texts[stud] >= 1 for stud in studs), texts
    assert all(texts[at] for at in ("2'-6\"", "5'-6\"", "6'-8\"", "12'-0\"", "8'-0\"", "door"))
