"""`[[look]]`: the cloth, stains and paint that a shop offers, and what a job chose of them."""

from __future__ import annotations

from typing import cast, get_args

from roomcheck.job.logo.shop_words import colour_of
from roomcheck.job.model.job import ChosenLook
from roomcheck.job.model.shop import LookKind, Shop, ShopLook
from roomcheck.job.toml.reader import TomlTable
from roomcheck.job.toml.values import meant, shown

KINDS = get_args(LookKind)


def read_looks(top: TomlTable) -> tuple[ShopLook, ...]:
    """What a shop offers to choose from."""
    return tuple(_look(table) for table in top.tables("look"))


def _look(table: TomlTable) -> ShopLook:
    look = ShopLook(
        name=table.text("name", example="charcoal"),
        kind=cast(LookKind, table.choice("kind", KINDS)),
        colour=colour_of(table, table.text("colour", example="#3f4347")),
    )
    table.close()
    return look


def read_chosen(top: TomlTable, shop: Shop) -> tuple[ChosenLook, ...]:
    """What the job chose, each for one kind of piece or for all."""
    found: list[ChosenLook] = []
    for table in top.tables("look"):
        chosen = _chosen(table, shop)
        table.close()
        if chosen is None:
            continue
        if any(_both(chosen, earlier) for earlier in found):
            table.note("look", f"a second `look` for {_whom(chosen)}; one is enough")
        found.append(chosen)
    return tuple(found)


def _chosen(table: TomlTable, shop: Shop) -> ChosenLook | None:
    name = table.text("look", example="charcoal")
    piece = table.choice("piece", (piece.name for piece in shop.stock), "")
    if table.spoiled or not name:
        return None
    look = next((look for look in shop.looks if look.name == name), None)
    if look is None:
        known = [look.name for look in shop.looks]
        have = meant(name, known) if known else "shop.toml has no [[look]] yet"
        table.note("look", f"`look` is {shown(name)}; {have}")
        return None
    if piece and look.kind not in shop.piece(piece).shows:
        shows = " or ".join(shop.piece(piece).shows) or "neither cloth, stain nor paint"
        table.note("look", f"`look` is {shown(name)}, a {look.kind}; a {piece} shows {shows}")
    return ChosenLook(look=look, piece=piece)


def _both(one: ChosenLook, other: ChosenLook) -> bool:
    """Whether two choices are for the same: cloth is one thing, stain or paint the other."""
    cloth = (one.look.kind == "cloth", other.look.kind == "cloth")
    return one.piece == other.piece and cloth[0] == cloth[1]


def _whom(chosen: ChosenLook) -> str:
    of = "the cloth" if chosen.look.kind == "cloth" else "the wood"
    return f"{of} of {chosen.piece}" if chosen.piece else f"{of} of all pieces"
