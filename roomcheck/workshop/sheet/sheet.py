"""From a plan to everything the shop and the installer need."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from roomcheck.facts import Fact, fact
from roomcheck.job import (
    Job,
    PieceKind,
    Placement,
    RunsLong,
    Shop,
    ShopPractice,
    StockPiece,
    hook_m,
)
from roomcheck.workshop.hanging.hanging import hanging_lines
from roomcheck.workshop.hanging.placing import Hung
from roomcheck.workshop.hanging.rows_of_pieces import row_gaps
from roomcheck.workshop.kinds import Caution
from roomcheck.workshop.parts.piece_text import Wanted
from roomcheck.workshop.parts.pieces import built, frame_depth_m, rail_m
from roomcheck.workshop.parts.work import day_plan, pick_list, site_order
from roomcheck.workshop.patterns.layout import outside_m
from roomcheck.workshop.results import BuildSheet, HangingLine, PieceSheet, Stock
from roomcheck.workshop.sheet.buying import NotInStock, Plans, purchases, unpriced
from roomcheck.workshop.sheet.fixings_bought import (
    anchor_hours,
    fixings_of,
    fixings_priced,
    rail_hours,
)
from roomcheck.workshop.sheet.jigs import jigs
from roomcheck.workshop.sheet.looks import in_looks
from roomcheck.workshop.sheet.stock_plans import (
    cutting_plans,
    fabric_plans,
    leftovers,
    saw_setups,
    sheet_plans,
)

if TYPE_CHECKING:
    from roomcheck.recommend import Plan


_WITHOUT_CLEAT: frozenset[PieceKind] = frozenset({"felt", "cloud", "corner", "corner stack"})


def build(job: Job, plan: Plan, practice: ShopPractice | None = None) -> BuildSheet:
    """Make cut lists, row maps, purchases and hanging lines for a plan.

    Parameters
    ----------
    job : Job
        Its shop says what a piece is made of; its room, where studs and edges are.
    plan : Plan
    practice : Practice or None
        How this shop works; None takes what its file says.

    Returns
    -------
    BuildSheet
        Install hours are person-hours, as the shop's file has them for each piece.

    Raises
    ------
    NotInStock
        A piece of the plan, or a material that it needs, is not in the shop's file.
    CannotCut, PartTooLarge, FabricTooWide, PanelError
        A part does not come out of the stock.
    """
    return build_placed(job, plan.pieces, practice)


def build_placed(
    job: Job, placed: Sequence[Placement], practice: ShopPractice | None = None
) -> BuildSheet:
    """Build as `build` does, for pieces that a person placed and nobody planned.

    Raises
    ------
    NotInStock, CannotCut, PartTooLarge, FabricTooWide, PanelError
        As `build` does.
    """
    practice = practice or job.shop.practice
    job = in_looks(job)
    pieces = [stock_piece(job.shop, place.piece) for place in placed]
    hung = _hung(job, placed, pieces, practice)
    lines = hanging_lines(job, hung, practice)
    return _sheet(job, pieces, lines, practice, hung=True)


def _hung(
    job: Job, placed: Sequence[Placement], pieces: Sequence[StockPiece], practice: ShopPractice
) -> list[Hung]:
    """Pieces as they are built: true size, and the heavier of the file's weight and that
    of the drawn parts."""
    drawn_kg = {piece.name: _drawn_kg(job, piece, practice) for piece in pieces}
    return [
        Hung(
            placed=place,
            piece=piece,
            size_m=outside_m(piece, practice),
            frame_m=frame_depth_m(job, piece, practice),
            weight_kg=max(piece.weight_kg, drawn_kg[piece.name]),
            rail_m=rail_m(job, piece, practice),
        )
        for place, piece in zip(placed, pieces, strict=True)
    ]


def build_pieces(
    job: Job, wanted: Sequence[tuple[str, int]], practice: ShopPractice | None = None
) -> BuildSheet:
    """Build so many of each piece, for nowhere in particular: no plan, no hanging lines.

    Parameters
    ----------
    wanted : sequence of (piece, count)

    Raises
    ------
    NotInStock, CannotCut, PartTooLarge, FabricTooWide, PanelError
        As `build` does.
    ValueError
        A count below 1.
    """
    if any(count < 1 for _, count in wanted):
        raise ValueError(f"wanted: found {list(wanted)!r}, needed counts of 1 or more")
    practice = practice or job.shop.practice
    job = in_looks(job)
    pieces: list[StockPiece] = []
    for name, count in wanted:
        pieces += [stock_piece(job.shop, name)] * count
    lines = [bench_line(str(i), piece, practice) for i, piece in enumerate(pieces, 1)]
    return _sheet(job, pieces, lines, practice, hung=False)


def build_wanted(
    job: Job, asked: Sequence[Wanted], practice: ShopPractice | None = None
) -> BuildSheet:
    """Build as `build_pieces` does, pieces that need not be in the shop's file; a weight that is
    not known yet is worked out.

    Raises
    ------
    NotInStock, CannotCut, PartTooLarge, FabricTooWide, PanelError
        As `build` does.
    """
    practice = practice or job.shop.practice
    stock = {piece.name: piece for piece in job.shop.stock}
    for wanted in asked:
        piece = wanted.piece
        stock[piece.name] = piece if piece.weight_kg > 0 else _weighed(job, piece, practice)
    stocked = replace(job, shop=replace(job.shop, stock=tuple(stock.values())))
    counts = [(wanted.piece.name, wanted.count) for wanted in asked]
    return build_pieces(stocked, counts, practice)


def _weighed(job: Job, piece: StockPiece, practice: ShopPractice) -> StockPiece:
    return replace(piece, weight_kg=_drawn_kg(job, piece, practice))


def _drawn_kg(job: Job, piece: StockPiece, practice: ShopPractice) -> float:
    """Weight of one, worked out from its parts. [kg]"""
    sheet = built(job, piece, (bench_line("1", piece, practice),), practice)
    return sheet.made_kg or 0.0


def bench_line(name: str, piece: StockPiece, practice: ShopPractice) -> HangingLine:
    """A piece that hangs nowhere yet: its cleat as usual, for its inside width."""
    width, height = outside_m(piece, practice)
    cleat = width - 2 * practice.board_m - 2 * practice.freedom_m
    hung = piece.kind not in _WITHOUT_CLEAT and cleat > 0
    return HangingLine(
        name=name,
        piece=piece.name,
        face="",
        left_m=0.0,
        top_m=height,
        width_m=width,
        height_m=height,
        cleat_m=0.0 if hung else None,
        cleat_length_m=cleat if hung else None,
        studs_m=(),
        cautions=(),
        weight_kg=piece.weight_kg,
        people=2 if piece.weight_kg >= practice.two_people_kg else 1,
    )


def _drafted(
    job: Job, pieces: Sequence[StockPiece], lines: Sequence[HangingLine], practice: ShopPractice
) -> tuple[tuple[PieceSheet, ...], Plans]:
    """Sheets of all kinds of pieces and what is cut for them, with the corner joints that cost the
    least where the shop leaves that open."""
    kinds = list(dict.fromkeys(piece.name for piece in pieces))
    drafts = _Drafts(job, lines, practice)
    joints: dict[str, RunsLong] = dict.fromkeys(kinds, practice.runs_long)
    if practice.runs_long == "cheaper":
        joints = _cheapest_joints(drafts, kinds, pieces, practice)
    sheets = tuple(drafts.sheet(kind, joints[kind]) for kind in kinds)
    return sheets, _plans(job.shop, sheets, practice)


class _Drafts:
    """Sheets of kinds of pieces by their corner joint, each drafted once."""

    def __init__(self, job: Job, lines: Sequence[HangingLine], practice: ShopPractice) -> None:
        self.job, self.lines, self.practice = job, lines, practice
        self.known: dict[tuple[str, RunsLong], PieceSheet] = {}

    def sheet(self, kind: str, joint: RunsLong) -> PieceSheet:
        if (kind, joint) not in self.known:
            own = tuple(line for line in self.lines if line.piece == kind)
            practice = replace(self.practice, runs_long=joint)
            self.known[kind, joint] = built(self.job, self.job.shop.piece(kind), own, practice)
        return self.known[kind, joint]


def _cheapest_joints(
    drafts: _Drafts, kinds: Sequence[str], pieces: Sequence[StockPiece], practice: ShopPractice
) -> dict[str, RunsLong]:
    """Every kind's joint: all alike first, then one kind turned at a time as long as that saves."""

    def cost(joints: dict[str, RunsLong]) -> Decimal:
        sheets = tuple(drafts.sheet(kind, joints[kind]) for kind in kinds)
        plans = _plans(drafts.job.shop, sheets, practice)
        bought = purchases(drafts.job.shop, pieces, sheets, plans, practice)
        return sum((purchase.cost for purchase in bought), Decimal(0))

    ways: tuple[RunsLong, RunsLong] = ("long", "short")
    tried = [dict.fromkeys(kinds, way) for way in ways]
    costs = [cost(joints) for joints in tried]
    best_cost = min(costs)
    best = tried[costs.index(best_cost)]
    if len(kinds) < 2 or practice.corner == "mitre":
        return best
    for kind in kinds:
        turned = best | {kind: ways[best[kind] == "long"]}
        turned_cost = cost(turned)
        if turned_cost < best_cost:
            best, best_cost = turned, turned_cost
    return best


def _plans(shop: Shop, sheets: tuple[PieceSheet, ...], practice: ShopPractice) -> Plans:
    return Plans(
        bars=cutting_plans(shop, sheets, practice),
        panels=sheet_plans(shop, sheets, practice),
        fabrics=fabric_plans(shop, sheets, practice),
    )


def _sheet(
    job: Job,
    pieces: Sequence[StockPiece],
    lines: Sequence[HangingLine],
    practice: ShopPractice,
    *,
    hung: bool,
) -> BuildSheet:
    shop = job.shop
    sheets, plans = _drafted(job, pieces, lines, practice)
    shown = tuple(lines) if hung else ()
    install_hours = site_hours = Decimal(0)
    fixings, lacking = None, tuple[Stock, ...]()
    if hung:
        more = anchor_hours(lines, practice) + rail_hours(lines, practice)
        install_hours = sum((piece.install_hours for piece in pieces), more)
        site_hours = _site_hours(pieces, lines) + more
        fixings, lacking = fixings_priced(shop, fixings_of(lines), practice)
    crew = max((line.people for line in lines), default=1)
    return BuildSheet(
        sheets=sheets,
        purchases=purchases(shop, pieces, sheets, plans, practice, fixings),
        hanging=shown,
        build_hours=sum((sheet.hours for sheet in sheets), Decimal(0)),
        install_hours=install_hours,
        weight_kg=sum(line.weight_kg for line in lines),
        cautions=_cautions(job, pieces, lines),
        cutting=plans.bars,
        setups=saw_setups(plans.bars, sheets),
        pick_list=pick_list(sheets, shown),
        days=day_plan(sheets, site_hours, crew, practice),
        order=site_order(shown),
        panels=plans.panels,
        fabrics=plans.fabrics,
        leftovers=leftovers(plans.bars, plans.panels, practice),
        unpriced=(*unpriced(sheets), *lacking),
        rows=row_gaps(job, shown),
        jigs=jigs(sheets, practice, hook_m(practice), job.units),
    )


def _site_hours(pieces: Sequence[StockPiece], lines: Sequence[HangingLine]) -> Decimal:
    """Hours on site. Where two lift, both work: the piece's person-hours pass in half the time."""
    hours = Decimal(0)
    for piece, line in zip(pieces, lines, strict=True):
        hours += piece.install_hours / line.people
    return hours


def stock_piece(shop: Shop, name: str) -> StockPiece:
    known = tuple(piece.name for piece in shop.stock)
    if name not in known:
        raise NotInStock(kind="piece", name=name, known=known)
    return shop.piece(name)


def _cautions(
    job: Job, pieces: Sequence[StockPiece], lines: Sequence[HangingLine]
) -> tuple[Fact[Caution], ...]:
    if not pieces:
        return ()
    kinds = [Caution.SAW, Caution.DUST]
    if any(piece.core is not None or piece.fill_m > 0 for piece in pieces):
        kinds.append(Caution.WOOL)
    if any(line.people > 1 for line in lines):
        kinds.append(Caution.LIFT)
    kinds.append(Caution.HIDDEN)
    if any(_overhead(job, line) for line in lines):
        kinds.append(Caution.OVERHEAD)
    kinds += [Caution.FIRE, Caution.FINISH, Caution.DEFER]
    return tuple(fact(kind) for kind in kinds)


def _overhead(job: Job, line: HangingLine) -> bool:
    return bool(line.face) and job.room.face(line.face).kind == "ceiling"
