"""Chosen cloth, stain and paint as they are bought, priced and offered."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import made_up_story_room as made
import pytest

from roomcheck.job import ChosenLook, Job, Price, ShopLook, default_shop
from roomcheck.quote import Line, quote
from roomcheck.words import Reader, sentence
from roomcheck.workshop import build

CHARCOAL = ShopLook(name="charcoal", kind="cloth", colour="#3f4347")
NAVY = ShopLook(name="navy", kind="cloth", colour="#27364f")
WALNUT = ShopLook(name="walnut", kind="stain", colour="#6b4a31")
WHITE = ShopLook(name="white", kind="paint", colour="#f2f1ec")
PIECES = ("2 in panel", "2 in panel", "4 in panel", "block diffuser")


def priced(*looks: ChosenLook, more: tuple[Price, ...] = (), pieces: tuple[str, ...] = PIECES):
    shop = default_shop()
    job: Job = replace(
        made.made_up_job(), shop=replace(shop, prices=(*shop.prices, *more)), looks=looks
    )
    placed = [
        made.on("north", f"A{i}", piece, 3 + 30 * i, 30, 24, 48) for i, piece in enumerate(pieces)
    ]
    plan = made.made_up_plan(*placed)
    sheet = build(job, plan)
    return sheet, quote(job, plan, sheet)


def bought(sheet):
    return {line.item: line for line in sheet.purchases}


def in_words(offer):
    return [sentence(line.item, Reader("client", "imperial")) for line in offer.lines]


def test_one_cloth_and_one_stain_for_all_are_bought_by_name_and_cost_what_the_plain_ones_do():
    plain, offer = priced()
    sheet, dressed = priced(ChosenLook(look=CHARCOAL), ChosenLook(look=WALNUT))
    names = {"face fabric": "face fabric, charcoal", "finish": "finish, walnut stain"}
    expected = [replace(line, item=names.get(line.item, line.item)) for line in plain.purchases]
    assert list(sheet.purchases) == expected
    assert {names["face fabric"], names["finish"]} <= set(bought(sheet))
    assert [plan.item for plan in sheet.fabrics] == ["face fabric, charcoal", "backing cloth"]
    assert dressed.total == offer.total and dressed.cost == offer.cost


def test_two_cloths_are_two_rolls_each_as_if_it_was_bought_alone():
    navy = ChosenLook(look=NAVY, piece="4 in panel")
    found = bought(priced(ChosenLook(look=CHARCOAL), navy)[0])
    alone = bought(priced(pieces=("2 in panel", "2 in panel"))[0])["face fabric"]
    other = bought(priced(pieces=("4 in panel",))[0])["face fabric"]
    assert found["face fabric, charcoal"] == replace(alone, item="face fabric, charcoal")
    assert found["face fabric, navy"] == replace(other, item="face fabric, navy")
    assert "face fabric" not in found and "finish" in found


def test_a_cloth_with_a_price_of_its_own_costs_that():
    shop = default_shop()
    plain = next(price for price in shop.prices if price.item == "face fabric")
    dear = replace(plain, item="face fabric, charcoal", price=Decimal("20.00"))
    before = bought(priced(ChosenLook(look=CHARCOAL))[0])["face fabric, charcoal"]
    after = bought(priced(ChosenLook(look=CHARCOAL), more=(dear,))[0])["face fabric, charcoal"]
    assert before.cost == before.packs * Decimal("14.00")
    assert after == replace(before, cost=before.packs * Decimal("20.00"))


@pytest.mark.parametrize(
    ("looks", "said"),
    [
        ((), "Pieces, built and finished"),
        ((CHARCOAL,), "Pieces, built and finished: cloth charcoal"),
        ((WHITE, CHARCOAL), "Pieces, built and finished: cloth charcoal; paint white"),
    ],
)
def test_the_line_of_the_pieces_says_what_was_chosen(looks, said):
    _, offer = priced(*(ChosenLook(look=look) for look in looks))
    assert in_words(offer)[0] == said


def test_a_choice_that_no_planned_piece_shows_is_not_in_the_price():
    _, offer = priced(ChosenLook(look=WALNUT), pieces=("2 in panel",))
    assert offer.lines[0].item.kind is Line.PIECES
