"""Every piece closes: its parts in space neither overlap nor leave what they must fill, touch what
they are fixed to, and are the parts of the cut list; what a step names is cut and bought."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from itertools import combinations

import pytest

from roomcheck.job import ShopMaterial, bench_job, default_shop
from roomcheck.workshop import Caution, Note, Part, Step, build_wanted, wanted
from roomcheck.workshop.parts.pieces import built as drafted
from roomcheck.workshop.sheet.sheet import bench_line

IN = 0.0254
SHOP = default_shop()
BOXED = ("slatted box", "perforated box", "membrane trap")
NAMES = [piece.name for piece in SHOP.stock]
SOFT = {Part.FABRIC, Part.BACKING_CLOTH, Part.FRONT_CLOTH}
"""Cloth has a place but no thickness."""
ON_THE_WALL = {Part.WALL_CLEAT, Part.WALL_STRIP}
RANDOM = 500


def built(text, shop=SHOP):
    job = bench_job(shop, units="imperial", title="made up")
    return build_wanted(job, [wanted(text, shop)])


def at_random(draw):
    """A size of a kind of piece that a shop may be asked for."""
    kind = draw.choice(
        ["2 in panel", "2 in panel, 2 in gap", "4 in panel", "4 in panel, 2 in gap"] * 2
        + ["slatted resonator", "perforated resonator", "membrane trap", "well diffuser"]
        + ["4 in ceiling cloud", "block diffuser"]
    )
    wide, high = draw.randint(14, 46), draw.randint(20, 72)
    if kind == "well diffuser":
        wide = max(wide, 20)
    if kind == "block diffuser":
        wide, high = 1.5 * draw.randint(8, 20), 1.5 * draw.randint(8, 24)
    if kind == "4 in ceiling cloud":
        wide, high = draw.randint(30, 72), draw.randint(30, 46)
    return f"{kind} {wide + draw.choice((0, 0.25, 0.5)) * (kind != 'block diffuser')} x {high} in"


def ends(solid):
    return [(at, at + size) for at, size in zip(solid.at_m, solid.size_m, strict=True)]


def overlap_m3(a, b):
    volume = 1.0
    for (low, high), (start, stop) in zip(ends(a), ends(b), strict=True):
        volume *= max(min(high, stop) - max(low, start), 0.0)
    return volume


def apart_m(a, b):
    """The largest gap along an axis between two boxes; 0 where they touch."""
    return max(
        max(start - high, low - stop, 0.0)
        for (low, high), (start, stop) in zip(ends(a), ends(b), strict=True)
    )


def check_space(piece, sheet, clearance_m):
    solids = sheet.solids
    assert solids
    wide, high = sheet.outside_width_m, sheet.outside_height_m
    deep = max(z + dz for (_, _, z), (_, _, dz) in ((s.at_m, s.size_m) for s in solids))
    assert deep <= piece.depth_m + 1e-6
    for solid in solids:
        (x, x2), (y, y2), (z, _) = ends(solid)
        assert min(solid.size_m) > 0, solid
        assert x >= -1e-6 and x2 <= wide + 1e-6, solid
        assert y >= -1e-6 and y2 <= high + 1e-6, solid
        # Behind its back stand at most a cleat that finds no room, or a gusset.
        assert z >= -0.75 * IN - 1e-6, solid
    few = [s for s in solids if s.part is not Part.BLOCK]
    for a, b in combinations(few, 2):
        assert overlap_m3(a, b) < 1e-9, (a, b)
    # Each part touches another, or is its clearance away; and all hang together.
    joined, waiting = {0}, set(range(1, len(few)))
    while True:
        new = {
            i for i in waiting if any(apart_m(few[i], few[j]) <= clearance_m + 1e-6 for j in joined)
        }
        if not new:
            break
        joined, waiting = joined | new, waiting - new
    assert not waiting, [few[i] for i in waiting]


def check_cuts(sheet):
    """The parts in space are those of the cut list, in number and size."""
    placed = Counter()
    for solid in sheet.solids:
        if solid.part is Part.BLOCK:
            placed[solid.part, round(max(solid.size_m[2], 0), 5)] += 1
        else:
            placed[solid.part, tuple(sorted(round(side, 5) for side in solid.size_m))] += 1
    cut = Counter()
    loose = set()
    for part in sheet.cuts:
        if part.part in SOFT | ON_THE_WALL | {Part.SPLICE}:
            continue
        if part.in_line:
            loose.add(part.part)
            continue
        if part.part is Part.BLOCK:
            cut[part.part, round(part.length_m, 5)] += part.note["cells"]
            continue
        thick = part.stock.thickness_m
        if part.note is not None and part.note.kind is Note.FLOOR_ON_BACK:
            thick = part.note["thick_m"]
        if part.note is not None and part.note.kind is Note.THICK:
            thick = part.note["thick_m"]
        times = 2 if part.part is Part.GUSSET else 1  # a square is two triangles
        size = tuple(sorted(round(side, 5) for side in (part.length_m, part.width_m, thick)))
        cut[part.part, size] += times * part.count
    both = {key for key in placed if key[0] not in loose}
    assert {k: placed[k] for k in both} == {k: n for k, n in cut.items() if k[0] not in loose}


def check_core(piece, sheet, clearance_m):
    """The core fills its bays: what stays free of the frame's inside is rails and clearance."""
    core = [s for s in sheet.solids if s.part is Part.CORE]
    if not core:
        return
    front = max(s.at_m[2] + s.size_m[2] for s in sheet.solids if s.part is Part.FRAME_LONG)
    top = [s for s in core if abs(s.at_m[2] + s.size_m[2] - front) < 1e-6]
    area = sum(s.size_m[0] * s.size_m[1] for s in top)
    t = 0.75 * IN
    inside = (sheet.outside_width_m - 2 * t), (sheet.outside_height_m - 2 * t)
    rails = [s for s in sheet.solids if s.part is Part.CROSS_RAIL]
    free = inside[0] * inside[1] - sum(s.size_m[0] * s.size_m[1] for s in rails)
    bays = len(rails) + 1
    edges = 2 * clearance_m * (2 * bays * max(inside) + 2 * bays * min(inside))
    assert free - edges <= area <= free
    made = sum(s.size_m[0] * s.size_m[1] * s.size_m[2] for s in core) / area
    assert made == pytest.approx(piece.core.thickness_m, abs=0.001)


NAMED = {
    Step.FIT_CLEAT: {Part.PIECE_CLEAT, Part.BOTTOM_STRIP, Part.WALL_CLEAT},
    Step.CORE_STOPS: {Part.CORE_STOP},
    Step.LAY_CORE: {Part.CORE},
    Step.STAPLE_BACKING: {Part.BACKING_CLOTH},
    Step.STRETCH_FABRIC: {Part.FABRIC},
    Step.LIFT_POINTS: {Part.GUSSET, Part.CROSS_RAIL},
    Step.STRADDLE: {Part.WALL_STRIP},
    Step.SPACE_SLATS: {Part.SLAT, Part.FRONT_RAIL},
    Step.CLOTH_BEHIND_SLATS: {Part.FRONT_CLOTH},
    Step.DRILL: {Part.FRONT, Part.FRONT_RAIL},
    Step.CLOTH_BEHIND_HOLES: {Part.FRONT_CLOTH},
    Step.BED_MEMBRANE: {Part.MEMBRANE, Part.FRONT_RAIL},
    Step.HOLD_FILL_BACK: {Part.FILL, Part.FRONT_CLOTH},
    Step.FRAME: {Part.FRAME_LONG, Part.FRAME_SHORT},
    Step.GLUE_ROWS: {Part.BLOCK, Part.BACKING},
    Step.ASSEMBLE_WELLS: {Part.BACK, Part.FIN, Part.WELL_FLOOR},
    Step.CAVITY: {Part.BACK},
    Step.SHELVE_STACK: {Part.SHELF},
    Step.CUT_TRIANGLES: {Part.CORE_SQUARE},
    Step.TIE_STACK: {Part.WALL_STRIP},
    Step.CUT_FELT: {Part.FELT_TILE},
}
WITH = {
    Part.CROSS_RAIL: Part.GUSSET,
    Part.RIB: Part.WELL_FLOOR,
    Part.WELL_RAIL: Part.WELL_FLOOR,
    Part.FILL: Part.FRONT_CLOTH,
}
"""Parts that a step names under another's name."""
BOUGHT = {
    Step.FIT_CLEAT: ("screw #8 x 1-1/4 in", "wood glue"),
    Step.CORE_STOPS: ("screw #8 x 1-1/4 in",),
    Step.STAPLE_BACKING: ("staples and finish nails",),
    Step.STRETCH_FABRIC: ("staples and finish nails", "face fabric"),
    Step.FRAME: ("wood glue", "staples and finish nails"),
    Step.BED_MEMBRANE: ("elastic sealant",),
    Step.FINISH: ("finish",),
    Step.GLUE_ROWS: ("wood glue",),
    Step.LIFT_POINTS: ("ceiling hanging set", "safety wire set"),
    Step.CUT_FELT: ("mounting adhesive",),
}


def check_steps(sheet, bought):
    parts = {cut.part for cut in sheet.cuts}
    steps = {step.kind for step in sheet.steps}
    for step in steps & set(NAMED):
        assert NAMED[step] <= parts, (step, NAMED[step] - parts)
    named = {part for step in steps for part in NAMED.get(step, ())}
    for part in parts - {Part.SPLICE, Part.SPACER}:
        assert part in named or WITH.get(part) in named, part
    for step in steps & set(BOUGHT):
        assert set(BOUGHT[step]) <= bought, (step, set(BOUGHT[step]) - bought)


def check_one(piece, one):
    clearance = SHOP.practice.clearance_m
    if piece.kind != "corner stack":
        check_space(piece, one, clearance)
        check_cuts(one)
        check_core(piece, one, clearance)


def check(text):
    sheet = built(text)
    (one,) = sheet.sheets
    check_one(wanted(text, SHOP).piece, one)
    check_steps(one, {purchase.item for purchase in sheet.purchases})
    cut = {c.stock.item for c in one.cuts if c.stock.item}
    assert cut <= {purchase.item for purchase in sheet.purchases}
    return sheet


@pytest.mark.parametrize("name", NAMES)
def test_every_stock_piece_closes(name):
    sheet = check(name)
    assert not sheet.unpriced


def test_five_hundred_random_sizes_close():
    """Parts, cut list and core of each; what a step names is cut and bought of every tenth."""
    draw, practice = random.Random(18), SHOP.practice
    job = bench_job(SHOP, units="imperial", title="made up")
    for number in range(RANDOM):
        text = at_random(draw)
        piece = wanted(text, SHOP).piece
        try:
            check_one(piece, drafted(job, piece, (bench_line("1", piece, practice),), practice))
            if number % 10 == 0:
                check(text)
        except AssertionError as problem:
            raise AssertionError(text) from problem


@pytest.mark.parametrize("size", ["48 x 48 in", "48 x 96 in", "72 x 48 in", "48 x 72 in"])
def test_a_clouds_core_goes_in_between_its_rails(size):
    """A rail takes its 3/4 in of the opening: bays of (46.5 - 0.75) / 2 = 22-7/8 in take cores of
    22-3/4 in."""
    sheet = check(f"4 in ceiling cloud {size}")
    (cloud,) = sheet.sheets
    rails = [s for s in cloud.solids if s.part is Part.CROSS_RAIL]
    core = [s for s in cloud.solids if s.part is Part.CORE]
    assert rails
    if size == "48 x 48 in":
        assert {round(min(s.size_m[:2]) / IN, 4) for s in core} == {22.75}


def test_a_membranes_depth_is_the_one_that_was_asked():
    """7-1/4 in asked: a 1x8 (7-1/4 in), and 60 / sqrt(m d) with d = 7.25 - 0.75 - 0.5 - 0.25 in."""
    (one,) = built("membrane trap 24 x 24 x 7 1/4 in").sheets
    frame = next(s for s in one.solids if s.part is Part.FRAME_LONG)
    assert frame.size_m[2] == pytest.approx(7.25 * IN)
    mass, cavity = 0.25 * IN * SHOP.practice.plywood_kg_m3, 5.75 * IN
    assert one.tuned_hz == pytest.approx(60 / (mass * cavity) ** 0.5)
    (deeper,) = built("membrane trap 24 x 24 x 9 in").sheets
    assert next(s for s in deeper.solids if s.part is Part.FRAME_LONG).size_m[2] == pytest.approx(
        9 * IN
    )


@pytest.mark.parametrize("name", [p.name for p in SHOP.stock if p.kind in BOXED])
def test_a_resonator_is_predicted_as_it_is_built(name):
    """Depth behind the front, from the parts in space, against the layer and gap it is computed
    with."""
    piece = SHOP.piece(name)
    (one,) = built(name).sheets
    back = next(s for s in one.solids if s.part is Part.BACK)
    front = next(s for s in one.solids if s.part in (Part.SLAT, Part.FRONT, Part.MEMBRANE))
    cavity = front.at_m[2] - (back.at_m[2] + back.size_m[2])
    assert piece.core.thickness_m + piece.core.gap_m == pytest.approx(cavity, abs=0.0005)


def test_a_gapped_panels_core_cannot_slip_back():
    (one,) = built("4 in panel, 2 in gap").sheets
    stops = [s for s in one.solids if s.part is Part.CORE_STOP]
    core = [s for s in one.solids if s.part is Part.CORE]
    behind = min(s.at_m[2] for s in core)
    assert len(stops) == 2
    assert all(s.at_m[2] + s.size_m[2] == pytest.approx(behind) for s in stops)
    # 6-1/2 in less 4 in of core: the gap it is computed with, and half an inch behind the wall side.
    assert behind >= SHOP.piece("4 in panel, 2 in gap").core.gap_m


def test_finish_is_bought_as_the_steps_say():
    """Three block panels: what their step says, three times, in pints, and 15 % more."""
    sheet = built("3 x block diffuser")
    (one,) = sheet.sheets
    pints = 3 * one.finish_l / 0.473176473
    bought = next(p for p in sheet.purchases if p.item == "finish")
    assert float(bought.net) == pytest.approx(pints, abs=0.001)
    assert bought.packs >= pints * 1.15


def test_what_is_weighed_is_what_is_placed():
    """Volume of the parts in space times their densities, cloth apart, for a plain panel."""
    (one,) = built("4 in panel").sheets
    practice = SHOP.practice
    density = {
        Part.CORE: practice.core_kg_m3,
        Part.FRAME_LONG: practice.wood_kg_m3,
        Part.FRAME_SHORT: practice.wood_kg_m3,
        Part.PIECE_CLEAT: practice.plywood_kg_m3,
        Part.BOTTOM_STRIP: practice.plywood_kg_m3,
    }
    solid_kg = sum(s.size_m[0] * s.size_m[1] * s.size_m[2] * density[s.part] for s in one.solids)
    cloth_kg = sum(
        c.count * c.length_m * c.width_m * practice.cloth_kg_m2 for c in one.cuts if c.part in SOFT
    )
    assert one.made_kg == pytest.approx(solid_kg + cloth_kg, rel=0.01)
    assert ShopMaterial.CORE in {c.stock.material for c in one.cuts}


@pytest.mark.parametrize("height_in", [60, 94, 96])
def test_a_stack_is_no_taller_than_its_corner(height_in):
    (one,) = built(f"corner stack 24 x {height_in} in").sheets
    layers = next(s for s in one.steps if s.kind is Step.CUT_TRIANGLES)["layers"]
    squares = sum(c.count for c in one.cuts if c.part is Part.SHELF)
    assert layers * 2 + 2 * squares * 0.75 <= height_in + 0.75
    assert squares >= 1


@pytest.mark.parametrize("runs_long", ["long", "short"])
@pytest.mark.parametrize("text", ["2 in panel", "block diffuser", "4 in panel 20 x 60 in"])
def test_boards_that_run_over_are_as_long_as_the_piece_and_others_stand_between(text, runs_long):
    job = bench_job(SHOP, units="imperial", title="made up")
    practice = replace(SHOP.practice, runs_long=runs_long)
    (one,) = build_wanted(job, [wanted(text, SHOP)], practice).sheets
    outside = (one.outside_width_m, one.outside_height_m)
    frame = [cut for cut in one.cuts if cut.part in (Part.FRAME_LONG, Part.FRAME_SHORT)]
    assert len(frame) == 2
    for cut in frame:
        over = any(cut.length_m == pytest.approx(side) for side in outside)
        assert cut.note.kind is (Note.RUNS_OVER if over else Note.BUTTS_BETWEEN)
        assert over is (cut.part == (Part.FRAME_LONG if runs_long == "long" else Part.FRAME_SHORT))


@pytest.mark.parametrize("name", [p.name for p in SHOP.stock if p.kind in BOXED])
def test_a_cavity_is_asked_about_where_it_is_not_the_one_of_the_prediction(name):
    as_is = SHOP.piece(name)
    deeper = replace(as_is, core=replace(as_is.core, gap_m=as_is.core.gap_m + 0.02))
    for piece, off in ((as_is, None), (deeper, 0.02)):
        shop = replace(SHOP, stock=(piece,))
        (one,) = built(name, shop).sheets
        said = [c for c in one.cautions if c.kind is Caution.CAVITY_OFF]
        assert [c["predicted_m"] - c["built_m"] for c in said] == (
            [] if off is None else [pytest.approx(off, abs=0.0005)]
        )
