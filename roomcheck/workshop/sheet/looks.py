"""Chosen cloth, stain and paint as the shop buys them: an item of its own, at the plain one's
price or at its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from roomcheck.job import Job, Need, Price, ShopLook, ShopMaterial, StockPiece, UsedFor


def in_looks(job: Job) -> Job:
    """The job with pieces that need the cloth, stain or paint chosen for them.

    A shop's own price under such a name stands; else it costs what the plain item does, in packs
    of its own.
    """
    if not job.looks:
        return job
    prices = {price.item: price for price in job.shop.prices}
    stock, bought = [], dict[str, list[Price]]()
    for piece in job.shop.stock:
        look = job.look_of(piece.name)
        names = {} if look is None else _named(piece, look, prices)
        needs = [Need(item=names.get(n.item, n.item), amount=n.amount) for n in piece.needs]
        stock.append(replace(piece, needs=tuple(needs)))
        for plain, name in names.items():
            ones = bought.setdefault(plain, [])
            if name not in prices and all(price.item != name for price in ones):
                ones.append(replace(prices[plain], item=name))
    listed: list[Price] = []
    for price in job.shop.prices:
        listed += [price, *bought.get(price.item, [])]
    return replace(job, shop=replace(job.shop, stock=tuple(stock), prices=tuple(listed)))


def _named(piece: StockPiece, look: ShopLook, prices: Mapping[str, Price]) -> dict[str, str]:
    """What of a piece's needs has the look, and what that is called."""
    needed = [prices[need.item] for need in piece.needs if need.item in prices]
    if look.kind == "cloth":
        cloth = [price for price in needed if price.material is ShopMaterial.FABRIC]
        face = [price for price in cloth if price.used_for is UsedFor.FACE]
        either = [price for price in cloth if price.used_for is None]
        return {price.item: f"{price.item}, {look.name}" for price in (face or either)[:1]}
    finish = [price for price in needed if price.material is ShopMaterial.FINISH]
    return {price.item: f"{price.item}, {look.name} {look.kind}" for price in finish}
