"""From a plan to everything the shop and the installer need."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from roomcheck.build import cautions
from roomcheck.build.buying import NotInStock, cutting_plans, purchases, saw_setups
from roomcheck.build.diffuser_parts import outside_m
from roomcheck.build.hanging import hanging_lines
from roomcheck.build.pieces import built
from roomcheck.build.practice import Practice
from roomcheck.build.results import BuildSheet, HangingLine
from roomcheck.build.work import ORDER, day_plan, pick_list
from roomcheck.job import Job, Placement, Shop, StockPiece

if TYPE_CHECKING:
    from roomcheck.recommend import Plan


def build(job: Job, plan: Plan, practice: Practice | None = None) -> BuildSheet:
    """Cut lists, row maps, purchases and hanging lines for a plan.

    Parameters
    ----------
    job : Job
        Its shop says what a piece is made of; its room, where studs and edges are.
    plan : Plan
    practice : Practice or None
        How this shop works; None takes the trade's usual values.

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
    practice = practice or Practice()
    return _sheet(job, plan.pieces, practice, hung=True)


def build_pieces(job: Job, wanted: Sequence[tuple[str, int]], practice: Practice | None = None) -> BuildSheet:
    """So many of each piece, for nowhere in particular: no measurement, no plan, no hanging lines.

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
    from roomcheck.geometry import Rectangle

    if any(count < 1 for _, count in wanted):
        raise ValueError(f"wanted: found {list(wanted)!r}, needed counts of 1 or more")
    face = next(f for f in job.room.faces if f.kind == "wall").name
    placed: list[Placement] = []
    for name, count in wanted:
        piece = _stock_piece(job.shop, name)
        place = Rectangle(0.0, 0.0, piece.width_m, piece.height_m)
        start = len(placed)
        placed += [Placement(name=f"{start + i + 1}", piece=name, face=face, place=place) for i in range(count)]
    return _sheet(job, tuple(placed), practice or Practice(), hung=False)


def _sheet(job: Job, placed: tuple[Placement, ...], practice: Practice, *, hung: bool) -> BuildSheet:
    shop = job.shop
    pieces = [_stock_piece(shop, place.piece) for place in placed]
    lines = hanging_lines(job, placed, pieces, [outside_m(piece, practice) for piece in pieces], practice)
    kinds = dict.fromkeys(place.piece for place in placed)
    sheets = tuple(
        built(job, shop.piece(kind), tuple(line for line in lines if line.piece == kind), practice) for kind in kinds
    )
    plans = cutting_plans(shop, sheets, practice)
    shown = lines if hung else ()
    worked = sum((piece.install_hours for piece in pieces), Decimal(0)) if hung else Decimal(0)
    # Where two lift, both work: the piece's person-hours pass in half the time.
    site = sum((p.install_hours / line.people for p, line in zip(pieces, lines, strict=True)), Decimal(0))
    refusals = tuple(f"{line.name}: {line.refused}" for line in shown if line.refused)
    return BuildSheet(
        sheets=sheets,
        purchases=purchases(shop, pieces, sheets, plans, practice),
        hanging=shown,
        build_hours=sum((sheet.hours for sheet in sheets), Decimal(0)),
        install_hours=worked,
        weight_kg=sum(piece.weight_kg for piece in pieces),
        cautions=_cautions(pieces, lines, refusals),
        cutting=plans,
        setups=saw_setups(plans, sheets),
        pick_list=pick_list(sheets, shown),
        days=day_plan(sheets, site if hung else Decimal(0), max((line.people for line in lines), default=1), practice),
        order=ORDER if shown else (),
        refusals=refusals,
    )


def _stock_piece(shop: Shop, name: str) -> StockPiece:
    known = tuple(piece.name for piece in shop.stock)
    if name not in known:
        raise NotInStock(kind="piece", name=name, known=known)
    return shop.piece(name)


def _cautions(pieces: Sequence[StockPiece], lines: Sequence[HangingLine], refusals: tuple[str, ...]) -> tuple[str, ...]:
    if not pieces:
        return ()
    said = [f"Do not hang {refusal}" for refusal in refusals]
    said += [cautions.SAW, cautions.DUST]
    if any(piece.core is not None for piece in pieces):
        said.append(cautions.WOOL)
    if any(line.people > 1 for line in lines):
        said.append(cautions.LIFT)
    said.append(cautions.HIDDEN)
    if any(line.cleat_m is None and "ceiling" in line.face for line in lines):
        said.append(cautions.OVERHEAD)
    return (*said, cautions.FIRE, cautions.FINISH, cautions.DEFER)
