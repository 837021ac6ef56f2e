"""Change orders: what the price becomes, to the cent by hand, and what pieces are called."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import made_up_story_room as made
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_up_prices import job, priced, sheet

from roomcheck.geometry import Rectangle
from roomcheck.plain import from_plain, to_plain
from roomcheck.quote import (
    Agreement,
    ChangeOrder,
    Line,
    Offer,
    as_changed,
    change_order,
    invoice,
    order_of_pieces,
    piece_changes,
    quote,
)
from roomcheck.recommend import Exchange, NoSuchExchange, exchanged

WORDS = {"number": 1, "text": "one more", "margin_pct": Decimal(30)}
TWO = (made.on("north", "A1", "2 in panel", 30, 36, 24, 48),)
THREE = (*TWO, made.on("north", "A2", "4 in panel", 70, 36, 24, 48))


def offer(pieces, *, material: str, weeks: int, **rates) -> Offer:
    plan = replace(made.made_up_plan(*pieces), weeks=weeks)
    return Offer(plan=plan, quote=quote(job(**rates), plan, sheet(cost=material)))


def order(**more) -> ChangeOrder:
    before = offer(TWO, material="400.00", weeks=4, tax_pct=10)
    after = offer(THREE, material="470.00", weeks=5, tax_pct=10)
    return order_of_pieces(before, after, **WORDS, **more)


def test_a_piece_more_costs_its_material_with_margin_and_tax_and_what_was_signed_stays():
    # 70 of material at 30 % of the price is 100; 10 % tax.
    found = order()
    assert (found.cost, found.net, found.tax, found.total) == (70, 100, 10, 110)
    assert found.days == 7 and order(days=3).days == 3
    assert [(one.name, one.was is None) for one in found.pieces] == [("A2", True)]
    # A second way for 35 more: 50, and 5 of tax.
    assert order(more_cost=Decimal(35)).total == 165


def test_what_holds_is_what_was_signed_with_every_change_after_it():
    signed = priced(tax_pct=10)  # 1928.58 and 192.86
    agreement = Agreement(
        signed_on="2026-05-11",
        signed_by="A",
        method="x",
        plan=made.made_up_plan(*TWO),
        quote=signed,
    )
    more = replace(order(), signed_on="2026-06-01", signed_by="A")
    less = change_order(
        signed, number=2, text="no shelf", cost=Decimal(-35), margin_pct=Decimal(30),
        signed_on="2026-06-02", signed_by="A",
    )  # fmt: skip
    found = as_changed(agreement, (more, less))
    assert found.plan == more.plan and as_changed(agreement, (less,)).plan == agreement.plan
    assert (found.quote.net, found.quote.total) == (Decimal("1978.58"), Decimal("2176.44"))
    assert sum(line.amount for line in found.quote.lines) == found.quote.net
    assert sum(step.amount for step in found.quote.payments) == found.quote.total
    assert [line.item.kind for line in found.quote.lines[-2:]] == [Line.CHANGE, Line.CHANGE]
    assert (found.quote.cost, found.quote.margin) == (signed.cost + 35, signed.margin + 15)
    assert as_changed(agreement, ()) == agreement
    assert from_plain(ChangeOrder, to_plain(more)) == more


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(-150_000, 150_000), min_size=1, max_size=4), st.sampled_from([0, 7, 19])
)
def test_steps_and_invoices_end_at_the_new_total_whatever_changed(cents, tax_pct):
    signed = priced(tax_pct=tax_pct)
    changes = [
        change_order(
            signed, number=i, text="x", cost=Decimal(amount) / 100, margin_pct=Decimal(30),
            signed_on="2026-06-01", signed_by="A",
        )
        for i, amount in enumerate(cents, 1)
    ]  # fmt: skip
    agreement = Agreement(
        signed_on="2026-05-11", signed_by="A", method="x", plan=made.made_up_plan(), quote=signed
    )
    found = as_changed(agreement, changes).quote
    assert found.total == signed.total + sum(change.total for change in changes)
    assert sum(step.amount for step in found.payments) == found.total or found.total < 0
    assert all(step.amount >= 0 for step in found.payments)
    if found.total < signed.deposit:
        return  # then the deposit was too much already, and an invoice says what goes back
    bills = []
    for step in (Line.ON_ACCEPTANCE, Line.ON_DELIVERY, Line.ON_RESULT):
        bills.append(
            invoice(
                signed, number=str(len(bills)), date="2026-07-01", milestone=step, verified=True,
                paid=sum((bill.claimed for bill in bills), Decimal(0)), earlier=bills,
                changes=changes,
            )
        )  # fmt: skip
    assert sum(bill.due for bill in bills) == found.total


def test_an_order_without_words_or_without_a_difference_is_none():
    before = offer(TWO, material="400.00", weeks=4)
    with pytest.raises(ValueError, match="what changes"):
        order_of_pieces(before, before, **WORDS)
    with pytest.raises(ValueError, match="what changes"):
        order_of_pieces(before, offer(THREE, material="1.00", weeks=4), **{**WORDS, "text": " "})


def test_names_stay_and_no_name_is_given_twice():
    there = exchanged(
        job(),
        THREE,
        Exchange(
            remove=("A1",),
            exchange=(("A2", "2 in panel"),),
            add=(
                ("2 in panel", "south", "2 ft", "30 in"),
                ("2 in panel", "south", "5 ft", "30 in"),
            ),
        ),
        taken={"A1", "A2", "A7"},
    )
    assert [(piece.name, piece.piece) for piece in there] == [
        ("A2", "2 in panel"), ("A8", "2 in panel"), ("A9", "2 in panel"),
    ]  # fmt: skip
    assert there[0].place.centre == pytest.approx(THREE[1].place.centre)
    assert there[1].place == Rectangle(0.6096, 0.762, 0.6096, 1.2192)
    changed = {one.name: (one.was, one.now) for one in piece_changes(THREE, there)}
    assert set(changed) == {"A1", "A2", "A8", "A9"} and changed["A1"][1] is None


def test_what_is_moved_keeps_its_name_and_its_size():
    (there, _) = exchanged(job(), THREE, Exchange(move=(("A1", "east", "1 ft", "3 ft"),)))
    assert (there.name, there.face) == ("A1", "east")
    assert there.place == Rectangle(0.3048, 0.9144, 0.6096, 1.2192)


@pytest.mark.parametrize(
    "wish",
    [
        {"remove": ("A9",)},
        {"remove": ("A1", "A1")},
        {"exchange": (("A1", "no such piece"),)},
        {"exchange": (("A9", "2 in panel"),)},
        {"move": (("A1", "floor", "1 ft", "1 ft"),)},
        {"add": (("2 in panel", "nowhere", "1 ft", "1 ft"),)},
    ],
)
def test_what_names_nothing_is_refused(wish):
    with pytest.raises(NoSuchExchange, match="names nothing here; known"):
        exchanged(job(), THREE, Exchange(**wish))
