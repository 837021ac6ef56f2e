"""The bench sheet in words: parts, notes, steps, and cautions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from roomcheck.facts import fact
from roomcheck.units import M2_PER_FT2, M_PER_IN
from roomcheck.words.numbers import size, weight
from roomcheck.words.reader import Reader
from roomcheck.words.saying import fill, joined, register, sentence
from roomcheck.workshop import Caution, Cut, Note, Part, Step, Surface, spans

DEFER = (
    "Defer to local code and licensed practice: planning numbers refuse, they never approve. "
    "Nothing on these sheets certifies a load, an anchor or a fire class."
)
_L_PER_PINT = 0.473176473


def exact(length_m: float, reader: Reader) -> str:
    """A size that sixteenths are too coarse for: thousandths of an inch, or hundredths of a
    millimetre.

    >>> exact(0.0381, Reader()), exact(0.0381, Reader(units="metric"))
    ('1.500"', '38.10 mm')
    """
    if reader.units == "imperial":
        return f'{length_m / M_PER_IN:.3f}"'
    return f"{length_m * 1000:.2f} mm"


def coat(area_m2: float, reader: Reader) -> str:
    """An area that takes a finish.

    >>> coat(1.0, Reader()), coat(1.0, Reader(units="metric"))
    ('11 ft²', '1.00 m²')
    """
    if reader.units == "imperial":
        return f"{area_m2 / M2_PER_FT2:.0f} ft²"
    return f"{area_m2:.2f} m²"


def counted(count: int, thing: str) -> str:
    """So many things, one of them without an s.

    >>> counted(1, "whole run"), counted(2, "whole run")
    ('1 whole run', '2 whole runs')
    """
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"


def part_text(cut: Cut, reader: Reader) -> str:
    """A part's name on the cut list."""
    name = sentence(fact(cut.part), reader)
    return f"{name}, part" if cut.in_line else name


register(
    {
        Part.BACK: "back",
        Part.BACKING: "backing",
        Part.BACKING_CLOTH: "backing cloth",
        Part.BOTTOM_STRIP: "bottom strip",
        Part.BLOCK: "block",
        Part.CORE: "core",
        Part.CORE_SQUARE: "core square",
        Part.CORE_STOP: "core stop",
        Part.CROSS_RAIL: "cross rail",
        Part.FABRIC: "fabric",
        Part.FELT_TILE: "felt tile",
        Part.FILL: "fill",
        Part.FIN: "fin",
        Part.FRAME_LONG: "frame, long",
        Part.FRAME_SHORT: "frame, short",
        Part.FRONT: "front",
        Part.FRONT_CLOTH: "cloth inside",
        Part.FRONT_RAIL: "rail behind the front",
        Part.GUSSET: "gusset",
        Part.JIG_DRILL: "drilling strip",
        Part.JIG_FENCE: "fence for rows",
        Part.JIG_HEAD: "cleat gauge, head",
        Part.JIG_LEG: "cleat gauge, leg",
        Part.JIG_SPACER: "slat spacer",
        Part.JIG_SQUARE: "frame square",
        Part.JIG_STOP: "stop block",
        Part.MEMBRANE: "membrane",
        Part.PIECE_CLEAT: "piece's cleat",
        Part.RIB: "rib",
        Part.SHELF: "shelf",
        Part.SLAT: "slat",
        Part.SPACER: "spacer",
        Part.SPLICE: "splice plate",
        Part.WALL_CLEAT: "wall cleat",
        Part.WALL_RAIL: "rail on the wall",
        Part.WALL_STRIP: "wall strip",
        Part.WELL_FLOOR: "well floor",
        Part.WELL_RAIL: "well rail",
    }
)

register(
    {
        Surface.BLOCK_SIDES: "block sides",
        Surface.FRAME: "frame",
        Surface.FRONT_AND_FRAME: "front and frame",
        Surface.FRONTS_AND_BACKING: "fronts and backing",
        Surface.WELLS: "wells",
    }
)


def _triangles(reader: Reader, *, per_square: int, per_board: int, boards: int) -> str:
    way = "corner to corner" if per_square == 2 else "along both diagonals"
    return (
        f"cut {way}: {per_square} triangles; {per_board} a board, "
        f"{counted(boards, 'board')} a corner"
    )


def _jig_holes(reader: Reader, *, pitch_m: float, **values: Any) -> str:
    return fill(
        "{holes} holes of {hole_m:size} every {pitch}, drilled at the drill press; a pin in the "
        "last hole drilled sets the next",
        reader,
        pitch=exact(pitch_m, reader),
        **values,
    )


def _jig_thick(reader: Reader, *, thick_m: float) -> str:
    return f"planed to {exact(thick_m, reader)}, the slot"


register(
    {
        Note.BEHIND_FRAME: "behind the frame",
        Note.BEVEL_BOTTOM: "45° bevel along the bottom, point to the wall",
        Note.BEVEL_TOP: "45° bevel along the top, point into the room",
        Note.BUTTS_BETWEEN: "fits between the other two",
        Note.CORNER_TO_CORNER: "square; cut corner to corner",
        Note.FLOOR_ON_BACK: "planed to {thick_m:size}, straight on the back",
        Note.FLOOR_RAISED: "front {raised_m:size} above the back",
        Note.GLUED_AND_SEALED: "glued and sealed",
        Note.HOLES: "{columns} × {rows} holes of {hole_m:size}",
        Note.JIG_CORNER_TO_CORNER: (
            "cut corner to corner, each half's tip cut off for the glue; clamped into two corners "
            "of a frame"
        ),
        Note.JIG_FOOT: '{1/8"|3 mm} bevel along its foot, so that dust holds no part off',
        Note.JIG_HOLES: _jig_holes,
        Note.JIG_HOOK: (
            "head across the leg's end, square: head on the line of the tops, the leg ends at the "
            "cleat's bottom edge, {hook_m:size} below; check it on the first real piece"
        ),
        Note.JIG_STRAIGHT: "one edge straight; clamped along row 1",
        Note.JIG_THICK: _jig_thick,
        Note.KNIFE: "knife, not a saw",
        Note.LAYERS: "knife, not a saw; {layers} layers, stagger the joints",
        Note.MITRED: "45° both ends, long point to long point",
        Note.NAP: "check nap and pattern before turning it",
        Note.ON_BEAD: "lies on a bead, fixed only at its edges",
        Note.ON_EDGE_OF_BACK: "stands on the back, full depth",
        Note.ONE_EDGE_BEVELLED: "one edge 45°",
        Note.OPEN_WEAVE: "open weave or mesh",
        Note.RAIL: "the short way, between two bays of the core",
        Note.RAILS: "{high_m:size} high, under both edges of a floor; rip long, never crosscut",
        Note.RIBS: "{high_m:size} high, {ribs} a well, under its floor",
        Note.RUNS_OVER: "runs over the other two at both ends",
        Note.SHELF: "cut corner to corner: two shelves; each carries the layers above",
        Note.SPARE: "{cells} and {spares} spare",
        Note.THICK: "{thick_m:size} thick",
        Note.TRIANGLES: _triangles,
    }
)


def _frame(reader: Reader, *, corner: str, runs: str, **values: Any) -> str:
    joint = "mitres glued and clamped, a nail each way"
    if corner != "mitre":
        over = "short" if runs == "short" else "long"
        joint = (
            f"the {over} boards run over the others, which takes the least wood here; two nails "
        )
        joint += "a corner"
    return fill(
        "Frame: opening {width_m:size} × {height_m:size}. Glue; {joint}; a nail every "
        "{nails_m:size} into the backing's edge. Drill first near the ends. Both diagonals within "
        "{square_m:size}.",
        reader,
        joint=joint,
        **values,
    )


def _finish(
    reader: Reader,
    *,
    surfaces: Sequence[tuple[str, float]],
    coat_m2: float,
    coats: int,
    finish_l: float,
    end_grain_m2: float,
    end_grain: float,
) -> str:
    areas = joined(
        [
            f"{coat(area_m2, reader)} of {sentence(fact(Surface(surface)), reader)}"
            for surface, area_m2 in surfaces
        ]
    )
    amount = f"{finish_l:.2f} l"
    if reader.units == "imperial":
        amount = f"{finish_l / _L_PER_PINT:.1f} pints".replace("1.0 pints", "1.0 pint")
    counting = ""
    if end_grain_m2 > 0:
        counting = f", counting {coat(end_grain_m2, reader)} of end grain {end_grain:g} times"
    return (
        f"Finish, each piece: {areas}, in all {coat(coat_m2, reader)} a coat. {coats} coats take "
        f"about {amount}{counting}; read the can."
    )


def _measure_sticks(reader: Reader, *, sticks: int, stick_m: float, measured: bool) -> str:
    section = f"{size(stick_m, reader)}, nominal"
    if measured:
        section = f"{exact(stick_m, reader)}, measured"
    return (
        f"Clamp {sticks} sticks side by side, measure them together, divide. Write the true width "
        f"in before anything is cut (this sheet was made for {section})."
    )


def _check_rows(reader: Reader, rows: int, gaps: int, gaps_m: float, clear_m: float) -> str:
    takes = (
        "the clearance round the blocks takes that"
        if gaps_m <= clear_m
        else (
            "more than the clearance round the blocks: make the frame to the laid blocks, measured"
        )
    )
    text = (
        f"After every {rows}th row check square and running height, with a card between blocks. "
        "Correct with gaps, not force."
    )
    if not gaps:
        return text
    cards = f" {counted(gaps, 'card')} make {1000 * gaps_m:.1f} mm of {1000 * clear_m:.1f} mm"
    if reader.units == "imperial":
        inches = gaps_m / M_PER_IN, clear_m / M_PER_IN
        cards = f" {counted(gaps, 'card')} make {inches[0]:.2f} in of {inches[1]:.2f} in"
    return f"{text}{cards}: {takes}."


def _wells_run_on(_reader: Reader, panels: Sequence[tuple[str, Sequence[int]]]) -> str:
    alike: dict[str, list[str]] = {}
    for name, numbers in panels:
        stretches = [str(a) if a == b else f"{a}–{b}" for a, b in spans(numbers)]
        alike.setdefault(", ".join(stretches), []).append(name)
    orders = "; ".join(f"{', '.join(names)}: {order}" for order, names in alike.items())
    return (
        "Panels beside each other have the same wells in other orders, so that the row does not "
        f"repeat itself. Numbers from the left of the step before, seen from the front: {orders}. "
        "Write name and TOP on each back first."
    )


def _well_order(reader: Reader, *, depths_m: Sequence[float]) -> str:
    depths = ", ".join(size(depth_m, reader) for depth_m in depths_m)
    return (
        f"Well depths from the left, seen from the front: {depths}. Laid face down, they run from "
        "the right."
    )


def _widen_wells(reader: Reader, *, runs: int, **values: Any) -> str:
    return fill(
        "Make the wells {well_m:size} wide, not the {drawn_m:size} drawn, so that {runs} of the "
        "pattern fill the frame.",
        reader,
        runs=counted(runs, "whole run"),
        **values,
    )


def _space_slats(reader: Reader, *, slats: int, slot_m: float) -> str:
    return (
        f"Set {slats} slats with slots of {exact(slot_m, reader)} between them and at both edges: "
        "use a spacer of that thickness, from the middle outwards."
    )


def _drill(reader: Reader, *, pitch_m: float, left_m: float, top_m: float, **values: Any) -> str:
    return fill(
        "Drill {columns} × {rows} holes of {hole_m:size} every {pitch}, the first {left} from the "
        "left and {top} from the top. Use a sharp bit and a backing board, or a drilling jig; "
        "clamp "
        "the sheet, goggles on.",
        reader,
        pitch=exact(pitch_m, reader),
        left=exact(left_m, reader),
        top=exact(top_m, reader),
        **values,
    )


def _stain(reader: Reader, *, coat_m2: float) -> str:
    return (
        f"Or stain the long sticks before they are cut: {coat(coat_m2, reader)} a coat, all four "
        "faces. Glue joints then bleed no stain."
    )


def _cut_triangles(reader: Reader, *, boards: int, **values: Any) -> str:
    return fill(
        "Cut {layers} triangles with legs of {leg_m:size}, {per_board} out of a board "
        "({boards} a corner): mark one, cut the others to it. Gloves and a mask; the knife cuts "
        "away from hand and body.",
        reader,
        boards=counted(boards, "board"),
        **values,
    )


register(
    {
        Step.FRAME: _frame,
        Step.DEPTH: (
            "Depth: {cleat_m:size} cleat, {backing_m:size} backing and {relief_m:size} relief make "
            "{stack_m:size}; the frame stands {reveal_m:size} proud."
        ),
        Step.FINISH: _finish,
        Step.NOTCH_FRAME: (
            "On a rail hangs: {names:and}. Notch both sides of the frame from behind, from "
            "{from_m:size} to {to_m:size} below the top edge as it hangs, {deep_m:size} deep; try "
            "it on a scrap of rail before the cloth goes on. Jigsaw or hand saw, frame clamped."
        ),
        Step.FIT_CLEAT: (
            "Glue and screw the piece's cleat to frame and backing under the top board with "
            "short screws, shorter than what they go into. Glue and screw the bottom strip, of "
            "the same thickness, over the bottom board, so that the piece hangs plumb."
        ),
        Step.ACCLIMATISE: (
            "Leave the wood in the room's own air, stacked on strips, for as many days as the plan "
            "of days says, to 6 to 9 % moisture by the meter."
        ),
        Step.CHOOSE_WOOD: (
            "Choose boards before they are cut: none bowed by more than {bow_m:size} in its part, "
            "no knot within {knot_m:size} of a corner or a screw; a bad one goes into the reserve "
            "and back to the yard. Straightest boards to the long sides, best face out, grain that "
            "runs on round the corners, a bow's hollow side in. Mark TOP and FRONT in pencil."
        ),
        Step.BATCH: (
            "Make all {pieces} together: every cut, every hole and every glue-up of one setting "
            "before the setting is changed. Label stacks by the letters of the cut list."
        ),
        Step.CLAMP: (
            "Glue-up: all corners dry first. Then two corners each with a square clamped in, the "
            "two halves together, one clamp across each end, cauls under the jaws; both diagonals "
            "before the glue grabs, squeeze-out off with a scraper once it is like rubber. In the "
            "clamps and under load as long as the glue's label says."
        ),
        Step.FINISH_FIRST: (
            "Finish now, before the frame goes together: frame boards lying flat, tape over "
            "glue faces and cleat; backing or wells before anything hides them. Let it dry as the "
            "can says before clamps touch it; the corners are touched up at the end."
        ),
        Step.MEASURE_STICKS: _measure_sticks,
        Step.SAND_STICKS: (
            "Sand the four faces of the long sticks, with extraction and a mask; once they are "
            "blocks, "
            "only the fronts are left to sand."
        ),
        Step.CUT_BLOCKS: (
            "Square an end, then cut longest first: one stop a height, one bin a height. The last "
            '{hold_m:size} stay in the clamp. No fingers nearer to the blade than {6"|150 mm}; '
            "the "
            "stop clears the blade before the stick is let go; goggles, ear protection, extraction."
        ),
        Step.READ_MAP: (
            "The row map is seen from the FRONT. Laid face down, it is mirrored: check row 1 "
            "before glue."
        ),
        Step.LAY_DRY: (
            "Lay rows 1 and 2 dry, row 1 against a straight fence on the long edge. Draw a column "
            "line every 4 blocks."
        ),
        Step.GLUE_ROWS: (
            "Size end grain with thinned glue, then lay a bead; no more than one row in 8 to "
            "10 min. Glue to the backing only."
        ),
        Step.CHECK_ROWS: _check_rows,
        Step.WEIGH_DOWN: "Weigh down overnight; trim what stands over.",
        Step.LAY_FROM: (
            "All panels have this one map, and each has its rows in the order that the table under "
            "the map gives it: laid so, neighbours run on as one pattern. Write name and TOP on "
            "each backing first; every panel hangs with that edge up."
        ),
        Step.STAIN_STICKS: _stain,
        Step.WELL_ORDER: _well_order,
        Step.WELLS_RUN_ON: _wells_run_on,
        Step.ASSEMBLE_WELLS: (
            "Rip floors, rails and fins in one setting each, rails on the free side of the "
            "blade with a push block. Fit rails and ribs first, then floors, then a fin, well "
            "by well."
        ),
        Step.GLUE_FINS: (
            "Glue every fin over its whole length: a loose one hums. Seal every joint: a leaky "
            "well absorbs."
        ),
        Step.WIDEN_WELLS: _widen_wells,
        Step.CORE_STOPS: (
            "Screw the two core stops across the frame, {behind_m:size} behind its front, before "
            "the core goes in: they hold it at the front."
        ),
        Step.STAPLE_BACKING: (
            "Staple the cloth behind: it must let air through, never film or plywood."
        ),
        Step.BLOW_THROUGH: (
            "Blow through the fabric before cutting it: what stops breath stops sound."
        ),
        Step.LAY_CORE: (
            "Lay the core in flush with the front, without squeezing it. Gloves, long sleeves "
            "and a mask; the knife cuts away from hand and body, on a board."
        ),
        Step.STRETCH_FABRIC: (
            "Stretch the fabric from the middle outwards: a staple every {staples_m:size}, corners "
            "folded once."
        ),
        Step.NOTCH_CORE: (
            "Depth: {core_m:size} core and {cleat_m:size} cleat make {stack_m:size}, the frame is "
            "{frame_m:size} deep: hung, it stands {off_wall_m:size} off the wall. If it must lie "
            "tight, notch the core for the cleat or take a thinner cleat."
        ),
        Step.LIFT_POINTS: (
            "Fit a lift point for every one of the ceiling's sheet, in the frame's boards and "
            "never in the core; gussets at the corners. What fails here falls on someone: no "
            "nail, staple or glue carries a lift point."
        ),
        Step.STRADDLE: (
            "Set the panel across the corner against two bevelled strips, the edges of its back "
            "{leg_m:size} out on each wall. It takes {reach_m:size} of each wall; its back is "
            "{back_m:size} and its front {deep_m:size} off the corner at the middle. Where no "
            "stud stands behind a strip, carry it on two rails from the corner studs. Leave "
            "outlets within reach."
        ),
        Step.SHELVE_FILL: (
            "Put a shelf under loose fill every {2 to 3 ft|600 to 900 mm}, so that it does not "
            "slump."
        ),
        Step.CUT_FELT: (
            "Cut face up with a sharp knife against a steel rule; mark the direction of the nap "
            "behind."
        ),
        Step.SPACE_SLATS: _space_slats,
        Step.CLOTH_BEHIND_SLATS: (
            "Staple the cloth inside to the rails before the slats go on; fill lies behind it, "
            "between the rails."
        ),
        Step.DRILL: _drill,
        Step.CLOTH_BEHIND_HOLES: (
            "Glue the cloth inside behind the holes, at its edges only: glue in the holes "
            "closes them. Screw the front to the rails."
        ),
        Step.BED_MEMBRANE: (
            "Run a bead of elastic sealant along the rails all round, lay the sheet in it and "
            "weigh it down until it is set: no screws through it."
        ),
        Step.HOLD_FILL_BACK: (
            "Hold the fill at the back with the cloth inside, stapled to the frame, with air "
            "between it and the sheet: a sheet that touches it does not swing."
        ),
        Step.SEAL_BOX: "Seal every joint of the box: a leak detunes it.",
        Step.CAVITY: (
            "Cavity behind the front: {cavity_m:size} deep. Glue and seal back and frame, screws "
            "and bead."
        ),
        Step.CUT_TRIANGLES: _cut_triangles,
        Step.SHELVE_STACK: (
            "Put in a shelf about every {spacing_m:size}, so that the layers do not slump; stack "
            "without squeezing."
        ),
        Step.TIE_STACK: (
            "Leave outlets within reach. Tie the frame to a stud at the top before anything else "
            "leans on it."
        ),
    }
)


def _in_line(reader: Reader, *, parts: Sequence[tuple[str, float]]) -> str:
    longer = ", ".join(
        f"{sentence(fact(Part(part)), reader)} of {size(length_m, reader)}"
        for part, length_m in parts
    )
    return (
        f"Longer than their stock, so made of several in line: {longer}. Glue and screw a splice "
        "plate over each joint, and turn one of two opposite parts so that joints do not face "
        "each other; or buy longer stock."
    )


def _weigh_one(reader: Reader, *, made_kg: float, file_kg: float) -> str:
    return (
        f"The parts make {weight(made_kg, reader)}, the shop's file says "
        f"{weight(file_kg, reader)}: weigh one before it is hung."
    )


def _over_size(
    reader: Reader, *, side: str, plane_to_m: float, one_less_m: float, **values: Any
) -> str:
    return fill(
        "The blocks make {size_m:size} {side}, {over_m:size} over the {wanted_m:size} asked. "
        "Choose: plane the sticks to {plane_to}; or leave out a {line} ({one_less_m:size}); or "
        "keep it and frame {size_m:size}, as cut here; or trim {over_m:size} off the last {line}.",
        reader,
        side=side,
        line="column" if side == "wide" else "row",
        plane_to=exact(plane_to_m, reader),
        one_less_m=one_less_m,
        **values,
    )


def _under_size(
    reader: Reader, *, side: str, can_rip: bool, fits: str, short_m: float, **values: Any
) -> str:
    line = "column" if side == "wide" else "row"
    rip = ""
    if can_rip:
        rip = f"; or rip a last {line} of blocks {size(short_m, reader)} wide"
    return fill(
        "The blocks make {size_m:size} {side}, {short_m:size} less than the {where} "
        "({wanted_m:size}). Frame {size_m:size}, as cut here{rip}.",
        reader,
        side=side,
        short_m=short_m,
        where="opening leaves" if fits == "opening" else "size asked",
        rip=rip,
        **values,
    )


def _left_over(reader: Reader, *, wells: int, runs: int, rest: int) -> str:
    return f"{wells} wells fit: {counted(runs, 'whole run')} of the pattern and {rest} more."


register(
    {
        Caution.SAW: (
            'Saw: keep fingers {6"|150 mm} off the blade; a stop block clears the blade before '
            'the cut is finished, so that the offcut cannot jam. Cut blocks under {2"|50 mm} '
            'from a stick of more than {10"|250 mm}, or hold its end with a clamp, never by '
            "hand. Guard on; eyes and ears covered."
        ),
        Caution.DUST: (
            "Wood dust harms lungs: extraction at the saw and sander, a fitting mask, vacuum and "
            "no broom. Follow local rules."
        ),
        Caution.WOOL: (
            "Mineral wool irritates skin, eyes and airways: gloves, long sleeves, goggles, a "
            "fitting mask. Cut it with a knife, wrap the core, read its safety data sheet."
        ),
        Caution.LIFT: (
            "Two people lift anything of {50 lb|23 kg} or more, and everything that goes overhead."
        ),
        Caution.HIDDEN: (
            "Find wires and pipes before any screw goes in. Old walls may hold asbestos or lead: "
            "have them tested before drilling."
        ),
        Caution.OVERHEAD: (
            "Overhead pieces: two independent fixings and a safety tether, into structure, "
            "engineered by a licensed person."
        ),
        Caution.FIRE: (
            "Fabric, core, wood and finish each change how a piece burns. Keep the papers of every "
            "lot and ask the fire authority before hanging in a public room; nothing here is a "
            "fire class."
        ),
        Caution.FINISH: (
            "Finishes and glues: air the room, no flame; spread oily rags out to dry or keep them "
            "under water."
        ),
        Caution.DEFER: DEFER,
        Caution.JOINED: _in_line,
        Caution.CAVITY_OFF: (
            "Its absorption was computed with {predicted_m:size} behind the front, and it is built "
            "with {built_m:size}: correct `core` in shop.toml before anything is promised with it."
        ),
        Caution.WEIGH_ONE: _weigh_one,
        Caution.CORE_THICKNESS: (
            "The core should be {core_m:size} thick; boards of {board_m:size} make {made_m:size}."
        ),
        Caution.STANDS_OFF: (
            "It stands {behind_m:size} off the wall: check that cleat and spacers together make "
            "that depth before the wall cleat goes up."
        ),
        Caution.TOO_DEEP: (
            "Depth: {cleat_m:size} cleat, {backing_m:size} backing and {relief_m:size} relief make "
            "{stack_m:size}, more than the board's {board_m:size}. Take a wider board, a thinner "
            "backing or a lower relief."
        ),
        Caution.OVER_SIZE: _over_size,
        Caution.UNDER_SIZE: _under_size,
        Caution.WOOD_MOVES: (
            "Wood moves: {points:g} points more moisture push tight blocks {low_m:size} to "
            "{high_m:size} apart over the long side, more than cards and clearance give way: glue "
            "only sticks that are as dry as the room, and do not force the frame on."
        ),
        Caution.HEIGHTS_TOUCH: "{largest} equal heights touch; {limit} is the most that should.",
        Caution.ROWS_REPEAT: "{repeats} of {rows} rows repeat another row.",
        Caution.SUMS_OFF: (
            "A {line}'s heights sum to {off_pct:.0f} % off the mean; {limit_pct:.0f} % is the "
            "limit."
        ),
        Caution.WELLS_LEFT_OVER: _left_over,
        Caution.WELLS_TOO_DEEP: (
            "Wells deeper than {times} times their width absorb rather than scatter: make them "
            "wider."
        ),
        Caution.FILL_TOUCHES: (
            "The fill of {fill_m:size} leaves no air before a cavity of {cavity_m:size}: it must "
            "not touch the sheet."
        ),
        Caution.FRONT_THICKNESS: (
            "The front should be {front_m:size} thick; {stock} is {stock_m:size}: name the right "
            "sheet in `needs`."
        ),
        Caution.RESONATES: (
            "Resonates at about {resonance_hz:.0f} Hz, a planning number from a closed form: build "
            "one and measure it before you promise anything of it."
        ),
    }
)
