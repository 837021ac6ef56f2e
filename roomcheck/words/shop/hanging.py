"""What the installer must know of one piece, why a piece must not be hung as planned, and rows."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.facts import fact
from roomcheck.job import Behind, Found, FramingKind
from roomcheck.units import KG_PER_LB, M2_PER_FT2
from roomcheck.words.numbers import beside, size, weight
from roomcheck.words.reader import Reader
from roomcheck.words.saying import fill, joined, register, sentence
from roomcheck.words.shop.steps import DEFER
from roomcheck.workshop import FixingKind, HangingCaution, HangingRow, Refusal


def row_of_pieces(row: HangingRow, reader: Reader) -> str:
    """Gaps of a row from left to right, and the even ones where they differ."""
    gaps = ", ".join(size(gap, reader) for gap in row.gaps_m)
    text = fill(
        '{names} in a row, tops level within {1/16"|1.5 mm}. Left to right: {left:size} '
        "to the corner, gaps {gaps}, {right:size} to the corner.",
        reader,
        names=", ".join(row.names),
        left=row.left_m,
        gaps=gaps,
        right=row.right_m,
    )
    if row.even_m is None:
        return text
    lefts = [
        f"{name} {size(left_m, reader)}"
        for name, left_m in zip(row.names, row.even_lefts_m, strict=True)
    ]
    even = fill(
        " Even gaps of about {gap:size} would put the left edges at {lefts}: only if the plan's "
        "reasons allow it.",
        reader,
        gap=row.even_m,
        lefts=", ".join(lefts),
    )
    return text + even


def _licensed_load(reader: Reader, weight_kg: float, load_kg_m2: float) -> str:
    load = f"{load_kg_m2:.0f} kg/m²"
    if reader.units == "imperial":
        load = f"{load_kg_m2 / KG_PER_LB * M2_PER_FT2:.1f} lb/ft²"
    return f"{weight(weight_kg, reader)}, {load}: a licensed person decides how it is fixed."


_NOT_WOOD = {
    FramingKind.STEEL_STUDS: (
        "{members} behind the {face}: no wood screws, no load and no ratio. Fasteners made for "
        "steel framing, through the cleat into every stud; their published approval and a licensed "
        "person decide which, and how many."
    ),
    FramingKind.MASONRY: (
        "{members} behind the {face}: no wood screws, no load and no ratio. Anchors for that very "
        "block or brick, in the block and not in its joints; their published approval and a "
        "licensed person decide which, and how many."
    ),
    FramingKind.CONCRETE: (
        "{members} behind the {face}: no wood screws, no load and no ratio. Concrete anchors; "
        "their published approval and a licensed person decide which, and how many. Nobody drills "
        "before hidden steel, tendons and cables are ruled out."
    ),
}


def _not_wood(reader: Reader, face: str, framing: FramingKind, ceiling: bool) -> str:
    framing = FramingKind(framing)  # from a file that was kept, it comes as its text
    values = {"ceiling": ceiling} if framing is FramingKind.STEEL_STUDS else {}
    members = sentence(fact(framing, **values), reader)
    members = members[0].upper() + members[1:]
    return _NOT_WOOD[framing].format(face=face, members=members)


def _other_screw(
    reader: Reader,
    screw: str,
    screw_m: float,
    usual: str,
    usual_m: float,
    sheathing_m: float,
) -> str:
    return fill(
        "Behind {sheathing:size} of sheathing the usual screw {usual} × {usual_long:size} does not "
        "reach the right depth: take {screw} × {long:size}.",
        reader,
        sheathing=sheathing_m,
        usual=usual,
        usual_long=usual_m,
        screw=screw,
        long=screw_m,
    )


def _moved(reader: Reader, by_m: float) -> str:
    side = "right" if by_m > 0 else "left"
    return fill(
        "It hangs {by:size} further {side} than the plan drew it, to meet its studs.",
        reader,
        by=abs(by_m),
        side=side,
    )


def _ratio(reader: Reader, weight_kg: float, studs: int, ratio: float, least_ratio: float) -> str:
    plural = "" if studs == 1 else "s"
    printed = beside(ratio, low=least_ratio, digits=1)
    return (
        f"{weight(weight_kg, reader)} on {studs} stud{plural}: planning ratio {printed}, "
        f"{least_ratio:g} is the least."
    )


def _few_screws(
    reader: Reader,
    across_studs: int | None = None,
    across_ratio: float = 0.0,
    move_m: float | None = None,
    **found: float,
) -> str:
    cures = []
    if move_m is not None:
        side = "right" if move_m > 0 else "left"
        cures.append(fill("pin it {by:size} further {side}", reader, by=abs(move_m), side=side))
    if across_studs is not None:
        cures.append(f"hang it the long way across, on {across_studs} studs ({across_ratio:.1f})")
    if not cures:
        cures.append("a smaller piece, or a carrier that a licensed person draws")
    return f"{_ratio(reader, **found)} Cure: {joined(cures, 'or')}."  # type: ignore[arg-type]


def _on_rail(
    reader: Reader,
    name: str,
    names: Sequence[str],
    left_m: float,
    right_m: float,
    at_m: float,
    per_stud: int,
    studs_m: Sequence[float],
) -> str:
    studs = joined([size(stud, reader) for stud in studs_m])
    return fill(
        "On one rail, {name}, under {names:and}: bevel up, from {left:size} to {right:size}, its "
        "bottom edge {at:size} above the floor, {per_stud} screws in each of the studs at {studs}. "
        "Two hold it while it is levelled. What shows of it is painted like the wall before it "
        "goes up; the frames are notched for it at the bench.",
        reader,
        name=name,
        names=names,
        left=left_m,
        right=right_m,
        at=at_m,
        per_stud=per_stud,
        studs=studs,
    )


def _find_others(reader: Reader, studs_m: Sequence[float]) -> str:
    studs = joined([size(stud, reader) for stud in studs_m])
    return (
        f"Behind this wall not everything stands where the job says: find the studs at {studs} "
        "too, and type where they are, before anything is drilled."
    )


def _found_behind(reader: Reader, what: Behind, at_m: float | None = None) -> str:
    name = sentence(fact(Behind(what)), reader)  # from a file that was kept, it comes as its text
    where = "" if at_m is None else f" {size(at_m, reader)} from the left corner"
    return (
        f"Found behind it{where}: {name}. No hole. A licensed person looks first, and what they "
        "say is typed in; or the piece hangs elsewhere, by a change that the client signs."
    )


def found_text(found: Found, reader: Reader) -> str:
    """A finding in one line: what, where, who typed it and when."""
    name = sentence(fact(found.what, of=found.of), reader)
    parts = [name[0].upper() + name[1:]]
    if found.at_m is not None:
        parts.append(f"{size(found.at_m, reader)} from the left corner")
    parts += [f"at {found.piece}"] if found.piece else []
    text = ", ".join(parts) + (f": {found.note}" if found.note else "")
    signed = ", ".join(word for word in (found.by, found.when) if word)
    text += f" ({signed})" if signed else ""
    return f"{text}; taken back, counts for nothing" if found.taken_back else text


def _cleared(_reader: Reader, of: int | None = None) -> str:
    which = "" if of is None else f" {of}"
    return f"finding{which} cleared by a licensed person"


def _length_along(reader: Reader, play_m: float) -> str:
    if play_m <= 0:
        return "It hangs on its mark and is not slid: its screws would carry too much."
    return fill(
        "Slide it no further than {play:size}: beyond, its screws carry too much.",
        reader,
        play=play_m,
    )


register(
    {
        HangingCaution.NOTHING_ALLOWED: (
            "Nothing may be fixed to the {face}: stand the piece free, or ask in writing."
        ),
        HangingCaution.TWO_PEOPLE: (
            "{weight_kg:mass}: two people lift it; a temporary strip below carries it meanwhile."
        ),
        HangingCaution.LICENSED_LOAD: _licensed_load,
        HangingCaution.OVERHEAD: (
            "Overhead: every hanging set into a joist or the structure itself, plumb over the "
            "frame's board, each point able to carry half the piece alone; every safety wire into "
            "a "
            "hole of its own, slack, closed with swages. Never to a ceiling grid, pipe, conduit or "
            "duct. Two people, a platform or two ladders of the right height, nobody below."
        ),
        HangingCaution.LICENSED_OVERHEAD: (
            "A licensed person approves fixings overhead before anybody stands below; no load and "
            "no ratio is given here."
        ),
        HangingCaution.TRY_ONE_TILE: (
            "Adhesive or pins: try one tile where it will not show; some paints let go."
        ),
        HangingCaution.TIE_TO_STUD: (
            "Tie it to a stud at the top of each part so that it cannot tip; leave outlets within "
            "reach."
        ),
        HangingCaution.HIDDEN: (
            "Wires and pipes: treat the strip straight above, below and beside every outlet, "
            "switch, radiator and wet-wall fitting as live; probe first; stop on metal."
        ),
        HangingCaution.TOO_HIGH: (
            "Too close to the ceiling to lift it onto its cleat: leave {lift_m:size}."
        ),
        HangingCaution.STANDS_OUT: (
            "It stands {depth_m:size} out: where people walk past in a public building, a front "
            "edge between {low_m:size} and {high_m:size} above the floor may often stand out "
            "{most_m:size} at most."
        ),
        HangingCaution.NOT_WOOD: _not_wood,
        HangingCaution.OTHER_SCREW: _other_screw,
        HangingCaution.MOVED: _moved,
        HangingCaution.ON_RAIL: _on_rail,
        HangingCaution.LITTLE_PLAY: _length_along,
        HangingCaution.FIND_OTHERS: _find_others,
        HangingCaution.NO_ANCHORS: ("No drywall screws and no anchors in gypsum for this piece."),
        HangingCaution.DEFER: DEFER,
    }
)
register(
    {
        FixingKind.WOOD_SCREW: "wood screws into studs",
        FixingKind.STEEL_ANCHOR: "anchors that the licensed person chose for steel studs",
        FixingKind.MASONRY_ANCHOR: "anchors that the licensed person chose for this masonry",
        FixingKind.CONCRETE_ANCHOR: "anchors that the licensed person chose for concrete",
        FixingKind.HANGING_SET: "hanging sets",
    }
)
register(  # a table of its own: members of two lists may have equal values
    {
        Refusal.FOUND_BEHIND: _found_behind,
        Refusal.RUNS_INTO_PIECE: (
            "With its frame it runs into the piece {name}: move it, or build it smaller."
        ),
        Refusal.RUNS_INTO: "With its frame it runs into {name}: move it, or build it smaller.",
        Refusal.OVER_THE_EDGE: (
            "With its frame it runs into the edge of the wall: move it, or build it smaller."
        ),
        Refusal.NOTHING_ALLOWED: (
            "Fixing to the {face} is not allowed: choose another face or a free stand."
        ),
        Refusal.ADHESIVE_OVERHEAD: (
            "Adhesive alone never holds a piece overhead: screws into joists, or another face."
        ),
        Refusal.NO_CEILING_MOUNT: (
            "It is built for a wall: nothing on it takes a lift point. Plan a ceiling cloud there, "
            "or hang it on a wall."
        ),
        Refusal.JOISTS_MISSING: (
            "Nobody has found the joists of the {face}: nothing is hung there. Find and mark them, "
            "write them under [[framing]] in job.toml, build again."
        ),
        Refusal.STUDS_MISSING: (
            "Nobody has found the studs of the {face}: nothing is hung there. Find and mark them, "
            "write them under [[framing]] in job.toml, build again."
        ),
        Refusal.SHEATHING_MISSING: (
            "The job does not say how thick the layer in front of the {face}'s studs is, so no "
            "screw "
            "can be chosen: measure it, write `sheathing` under its [[framing]] in job.toml, and "
            "build the sheet again."
        ),
        Refusal.FRAMING_UNKNOWN: (
            "Nobody knows yet what stands behind the {face}, so nothing is hung there: find out, "
            "write `kind` under its [[framing]] in job.toml, and build the sheet again."
        ),
        Refusal.GRID: (
            "A ceiling grid at the {face} carries nothing but its own tiles, so nothing is hung "
            "there. Open it, find the structure above, write that under [[framing]] in job.toml, "
            'set its [[fixing]] to "screws", and plan again; or choose tiles that absorb.'
        ),
        Refusal.NO_SCREW: (
            "Through {cleat_m:size} of cleat and {sheathing_m:size} of sheathing no screw on sale "
            "reaches deep enough into a stud and no deeper than cables allow: a thinner cleat, or "
            "someone licensed confirms that no cable or pipe is there and chooses the screw."
        ),
        Refusal.FEW_STUDS: (
            "The cleat meets {studs} of the steel studs, and on fewer than two it turns: move the "
            "piece, hang it the long way across, or run a rail across two."
        ),
        Refusal.FEW_JOISTS: (
            "Fewer than two joists are above it: turn or move it until two are, or have a carrier "
            "engineered."
        ),
        Refusal.TOO_HEAVY_TO_GLUE: (
            "{weight_kg:mass} is too heavy for adhesive or pins: smaller tiles, or a backing on a "
            "cleat."
        ),
        Refusal.CORNER_NEEDS_SCREW: (
            "A tall piece in a corner needs a tie to the {face}: allow one screw, or leave it out."
        ),
        Refusal.CLEAT_NEEDS_SCREWS: "A cleat needs screws, and this face allows adhesive.",
        Refusal.FEW_SCREWS: _few_screws,
    }
)
register(
    {
        Behind.STUD: "stud or joist",
        Behind.NO_STUD: "no stud where the job has one",
        Behind.CABLE: "a cable",
        Behind.PIPE: "a pipe",
        Behind.METAL: "metal",
        Behind.DOUBT: "something that nobody knows",
        Behind.CLEARED: _cleared,
    }
)
