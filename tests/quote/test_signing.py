"""What is said before a signature, options that are ticked, and what was drawn by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import made_up_story_room as made
import pytest

from roomcheck.job import Extra
from roomcheck.quote import Agreement, Line, Offer, caveats, extra_price, flaws, quote
from roomcheck.typed import SignatureError, parse_signature

from .test_quote import job, sheet

DRAWN = "M20 150L120 30L180 160M240 90L420 100"


def with_extras(*taken: bool, **rates):
    costs = (Decimal("70.00"), Decimal("33.33"))
    extras = tuple(
        Extra(name=f"option {i}", cost=cost, taken=one)
        for i, (cost, one) in enumerate(zip(costs, taken, strict=True))
    )
    return replace(job(**rates), extras=extras)


def test_a_tick_moves_the_total_by_its_line_and_the_tax_on_it_alone():
    # By hand: 70 / 0.7 = 100.00, 33.33 / 0.7 = 47.614…, printed 47.61; 10 % tax on the sum of lines.
    plain, one, both = (
        quote(with_extras(*taken, tax_pct=10), made.made_up_plan(), sheet())
        for taken in ((False, False), (True, False), (True, True))
    )
    assert not [line for line in plain.lines if line.item.kind is Line.EXTRA]
    assert one.total - plain.total == Decimal("110.00")
    assert both.net - one.net == Decimal("47.61")
    assert both.total - one.total in (Decimal("52.37"), Decimal("52.38"))
    found = with_extras(False, False, tax_pct=10)
    assert [extra_price(found, extra) for extra in found.extras] == [
        Decimal("110.00"),
        Decimal("52.37"),
    ]
    assert both.cost - plain.cost == Decimal("103.33")
    names = [line.item["name"] for line in both.lines if line.item.kind is Line.EXTRA]
    assert names == ["option 0", "option 1"]
    assert sum(step.amount for step in both.payments) == both.total


def test_an_option_that_carries_no_tax_adds_none():
    free = with_extras(True, False, tax_pct=10, minimum_job=5000)
    rates = replace(free.shop.rates, taxed=("installation",))
    free = replace(free, shop=replace(free.shop, rates=rates))
    assert extra_price(free, free.extras[0]) == Decimal("100.00")


def test_what_is_said_before_a_signature():
    plan = made.made_up_plan()
    offer = Offer(plan=plan, quote=quote(job(), plan, sheet()))
    usual = {"currency": "$", "planning_values": False}
    promise = replace(plan.promise, mid_low_s=0.30, mid_high_s=0.50)
    reaching = replace(offer, plan=replace(plan, reaches_target=True, promise=promise))
    assert caveats(reaching, budget=None, **usual) == ()
    assert caveats(reaching, budget=offer.quote.total, **usual) == ()
    (over,) = caveats(reaching, budget=offer.quote.total - Decimal("0.50"), **usual)
    assert (over.kind, over["over"]) == ("over_budget", 0.5)
    missing = replace(offer, plan=replace(plan, reaches_target=False))
    kinds = [one.kind for one in caveats(missing, budget=None, currency="$", planning_values=True)]
    assert not plan.promise.bands
    assert kinds == ["misses_target", "no_promise", "planning_values"]


def test_a_drawn_signature_is_a_path_of_numbers_within_its_field_and_nothing_else():
    assert parse_signature(f" {DRAWN}\n") == DRAWN
    assert parse_signature("") == ""
    longest = "M0 0" + "L600 200L0 0" * 1999
    assert parse_signature(longest) == longest
    for wrong in (
        '"/><script>',
        "M20 150L120 30Z",
        "M20 150",
        "L20 150L30 160",
        "M20.5 150L120 30",
        "M20 150L-120 30",
        "M20 150L601 30",
        "M20 150L120 201",
        "M20 150L25 150",  # a dot
        "M0 0M600 200L600 200",  # nothing drawn on the way
        longest + "L600 200L0 0",
        "M1 1" + "L900 1" * 9000,
        "M٣٠ 150L120 30",
    ):
        with pytest.raises(SignatureError):
            parse_signature(wrong)


def test_an_agreement_with_another_signature_than_a_path_is_a_flaw():
    plan, room = made.made_up_plan(), made.made_up_job().room
    agreement = Agreement(
        signed_on="2026-05-11",
        signed_by="Client A",
        method="roomcheck",
        plan=plan,
        quote=quote(job(), plan, sheet()),
        signature=DRAWN,
    )
    before = flaws(agreement, room)
    after = flaws(replace(agreement, signature='M1 1"/>'), room)
    assert [way for way, _ in after if (way, _) not in before] == [("signature",)]
