"""What the installer must know of one piece, why a piece must not be hung as planned, and rows."""

from __future__ import annotations

from roomcheck.facts import fact
from roomcheck.job import FramingKind
from roomcheck.units import KG_PER_LB, M2_PER_FT2, M_PER_IN
from roomcheck.words.numbers import beside, length, size, weight
from roomcheck.words.reader import Reader
from roomcheck.words.saying import fill, joined, register, sentence
from roomcheck.words.shop.steps import DEFER
from roomcheck.workshop import HangingCaution, HangingRow, Refusal


def row_of_pieces(row: HangingRow, reader: Reader) -> str:
    """Gaps of a row from left to right, and the even ones where they differ."""
    gaps = ", ".join(size(gap, reader) for gap in row.gaps_m)
    text = fill(
        "{names} in a row, tops level within 1/16 in (1.5 mm). Left to right: {left:size} "
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
        f"{name} {length(left_m, reader)}"
        for name, left_m in zip(row.names, row.even_lefts_m, strict=True)
    ]
    even = fill(
        " Even gaps of {gap:size} would put the left edges at {lefts}: only if the plan's reasons "
        "allow it.",
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
        "{members} behind the {face}: no wood screws and no ratio. Fasteners made for steel "
        "framing or hollow-wall anchors, with a published allowable load, chosen by a licensed "
        "person."
    ),
    FramingKind.MASONRY: (
        "{members} behind the {face}: no wood screws and no ratio. Anchors for that very block or "
        "brick, with a published allowable load, chosen by a licensed person."
    ),
    FramingKind.CONCRETE: (
        "{members} behind the {face}: no wood screws and no ratio. Concrete anchors with a "
        "published allowable load, chosen by a licensed person; nobody drills before hidden steel "
        "and cables are ruled out."
    ),
    FramingKind.GRID: (
        "{members} at the {face} carries nothing but its own tiles: no screws and no ratio. A "
        "licensed person fixes to the structure above."
    ),
    FramingKind.UNKNOWN: (
        "Nobody knows yet what stands behind the {face}, so there are no screws and no ratio: find "
        "out, write `kind` under its [[framing]] in job.toml, and build the sheet again. Until "
        "then a licensed person decides how it is fixed."
    ),
}


def _not_wood(reader: Reader, face: str, framing: FramingKind, ceiling: bool) -> str:
    values = {"ceiling": ceiling} if framing is FramingKind.STEEL_STUDS else {}
    members = sentence(fact(framing, **values), reader)
    members = members[0].upper() + members[1:]
    return _NOT_WOOD[framing].format(face=face, members=members)


def _exact(length_m: float, reader: Reader) -> str:
    """A depth that sixteenths are too coarse for."""
    if reader.units == "imperial":
        return f'{length_m / M_PER_IN:.2f}"'
    return f"{length_m * 1000:.1f} mm"


def _screw_too_short(reader: Reader, depth_m: float, least_m: float) -> str:
    return (
        f"The screw reaches {_exact(depth_m, reader)} into the stud, under six diameters "
        f"({_exact(least_m, reader)}): use a longer one."
    )


def _ratio(reader: Reader, weight_kg: float, studs: int, ratio: float, least_ratio: float) -> str:
    plural = "" if studs == 1 else "s"
    printed = beside(ratio, low=least_ratio, digits=1)
    return (
        f"{weight(weight_kg, reader)} on {studs} stud{plural}: planning ratio {printed}, "
        f"{least_ratio:g} is the least."
    )


def _screws_too_short(reader: Reader, **found: float) -> str:
    return (
        f"{_ratio(reader, **found)} The screws do not reach the framing: longer ones, or a "  # type: ignore[arg-type]
        "thinner cleat."
    )


def _few_screws(
    reader: Reader,
    need_studs: int,
    need_ratio: float,
    more_screws: int | None = None,
    more_ratio: float = 0.0,
    across_studs: int | None = None,
    across_ratio: float = 0.0,
    **found: float,
) -> str:
    cures = [f"a cleat or rail that meets {need_studs} studs ({need_ratio:.1f})"]
    if more_screws is not None:
        cures.append(f"{more_screws} screws a stud ({more_ratio:.1f})")
    if across_studs is not None:
        cures.append(f"hang it the long way across, on {across_studs} studs ({across_ratio:.1f})")
    return f"{_ratio(reader, **found)} Cure: {joined(cures, 'or')}."  # type: ignore[arg-type]


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
            "Overhead: every hanger into a joist, each point able to carry half the piece alone, "
            "and a separate safety tether to a second joist. Never to a ceiling grid, pipe, "
            "conduit or duct."
        ),
        HangingCaution.LICENSED_OVERHEAD: (
            "A licensed person engineers overhead fixings. No load is certified here."
        ),
        HangingCaution.JOISTS_MISSING: (
            "Joists are not in the job file: find and mark them first."
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
        HangingCaution.STUDS_MISSING: (
            "Studs of the {face} are not in the job file: find and mark them, then check again."
        ),
        HangingCaution.NOT_WOOD: _not_wood,
        HangingCaution.SHEATHING_MISSING: (
            "The job does not say how thick the layer in front of the {face}'s studs is, so there "
            "is no ratio: measure it and write `sheathing` under its [[framing]] in job.toml."
        ),
        HangingCaution.SCREW_TOO_LONG: (
            "The screw reaches {depth_m:size} into the stud, deeper than {cables_m:size} where "
            "cables may run: use a shorter one, or have someone licensed confirm that no cable or "
            "pipe is there."
        ),
        HangingCaution.SCREW_TOO_SHORT: _screw_too_short,
        HangingCaution.NO_ANCHORS: ("No drywall screws and no anchors in gypsum for this piece."),
        HangingCaution.DEFER: DEFER,
    }
)
register(  # a table of its own: members of two lists may have equal values
    {
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
        Refusal.FEW_JOISTS: (
            "Fewer than two joists are above it: turn or move it until two are, or have a carrier "
            "engineered."
        ),
        Refusal.TOO_HEAVY_TO_GLUE: (
            "{weight_kg:mass} is too heavy for adhesive or pins: smaller tiles, or a backing on a "
            "cleat."
        ),
        Refusal.CORNER_NEEDS_SCREW: (
            "A tall piece in a corner needs a tie to the wall: allow one screw, or leave it out."
        ),
        Refusal.CLEAT_NEEDS_SCREWS: "A cleat needs screws, and this face allows adhesive.",
        Refusal.SCREWS_TOO_SHORT: _screws_too_short,
        Refusal.FEW_SCREWS: _few_screws,
    }
)
