"""From a plan to everything the shop and the installer need."""

from __future__ import annotations

from collections import Counter
from decimal import ROUND_CEILING, Decimal

from roomcheck.build import cautions
from roomcheck.build.hanging import hanging_line
from roomcheck.build.pieces import built
from roomcheck.build.practice import Practice
from roomcheck.build.results import BuildSheet, Purchase
from roomcheck.errors import RoomcheckError
from roomcheck.job import Job, Price, Shop, StockPiece
from roomcheck.recommend import Plan


class NotInStock(RoomcheckError):
    """The plan names something that the shop's file does not have."""

    def __init__(self, *, kind: str, name: str, known: tuple[str, ...]) -> None:
        self.kind, self.name, self.known = kind, name, known
        listed = ", ".join(known) or "nothing"
        super().__init__(f"shop.toml: no {kind} called {name!r}; it has {listed}. Add it there or change the plan.")


def build(job: Job, plan: Plan, practice: Practice | None = None) -> BuildSheet:
    """Cut lists, row maps, purchases and hanging lines for a plan.

    Parameters
    ----------
    job : Job
        Its shop says what a piece is made of; its room, where studs and edges are.
    plan : Plan
    practice : Practice or None
        How this shop works; None takes the trade's usual values.

    Raises
    ------
    NotInStock
        A piece of the plan, or a material that it needs, is not in the shop's file.
    CannotCut, FabricTooWide, PanelError
        A part does not come out of the stock.
    """
    practice = practice or Practice()
    pieces = [(placed, _stock_piece(job.shop, placed.piece)) for placed in plan.pieces]
    kinds = tuple(dict.fromkeys(placed.piece for placed in plan.pieces))
    sheets = tuple(
        built(job, job.shop.piece(kind), tuple(p.name for p in plan.pieces if p.piece == kind), practice)
        for kind in kinds
    )
    hanging = tuple(hanging_line(job, placed, piece, practice) for placed, piece in pieces)
    return BuildSheet(
        sheets=sheets,
        purchases=purchases(job.shop, [piece for _, piece in pieces]),
        hanging=hanging,
        build_hours=sum((sheet.hours for sheet in sheets), Decimal(0)),
        install_hours=sum((piece.install_hours for _, piece in pieces), Decimal(0)),
        weight_kg=sum(piece.weight_kg for _, piece in pieces),
        cautions=_cautions(job, [piece for _, piece in pieces]),
        refusals=tuple(f"{line.name}: {line.refused}" for line in hanging if line.refused),
    )


def purchases(shop: Shop, pieces: list[StockPiece]) -> tuple[Purchase, ...]:
    """Materials of all pieces in whole packs, in the order of the shop's price list."""
    net: Counter[str] = Counter()
    for piece in pieces:
        for need in piece.needs:
            net[need.item] += need.amount  # type: ignore[assignment]
    known = {price.item: price for price in shop.prices}
    missing = [item for item in net if item not in known]
    if missing:
        raise NotInStock(kind="price", name=missing[0], known=tuple(known))
    return tuple(_purchase(price, _exact(net[item])) for item, price in known.items() if net[item] > 0)


def _purchase(price: Price, net: Decimal) -> Purchase:
    with_waste = net * (1 + price.waste_pct / 100)
    packs = int((with_waste / price.pack).to_integral_value(rounding=ROUND_CEILING))
    return Purchase(
        item=price.item,
        unit=price.unit,
        net=net,
        with_waste=with_waste,
        packs=packs,
        pack=price.pack,
        cost=packs * price.price,
        left=packs * price.pack - net,
    )


def _exact(amount: float) -> Decimal:
    # Nine places: what a person typed, without the tail that adding binary numbers leaves.
    return Decimal(repr(round(amount, 9)))


def _stock_piece(shop: Shop, name: str) -> StockPiece:
    known = tuple(piece.name for piece in shop.stock)
    if name not in known:
        raise NotInStock(kind="piece", name=name, known=known)
    return shop.piece(name)


def _cautions(job: Job, pieces: list[StockPiece]) -> tuple[str, ...]:
    if not pieces:
        return ()
    said = [cautions.SAW, cautions.DUST]
    if any(piece.core is not None for piece in pieces):
        said.append(cautions.WOOL)
    said += [cautions.LIFT, cautions.HIDDEN]
    if any("ceiling" in piece.mounts for piece in pieces):
        said.append(cautions.OVERHEAD)
    return (*said, cautions.FIRE, cautions.FINISH, cautions.DEFER)
