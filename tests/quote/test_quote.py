"""Money: sums by hand, to the cent."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from types import SimpleNamespace

import made_up_story_room as made
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_up_prices import job, priced, sheet

from roomcheck.cli import main
from roomcheck.facts import fact
from roomcheck.job import read_changes, write_signed
from roomcheck.plain import from_plain, to_plain
from roomcheck.quote import (
    Agreement,
    Assumption,
    CannotBill,
    Line,
    Quote,
    change_order,
    credit_note,
    invoice,
    quote,
)
from roomcheck.quote.price import cents, price_for
from roomcheck.quote.standing import promised_day
from roomcheck.words import Reader, sentences


def test_margin_is_of_the_price():
    # By hand: 400 + 17 h x 50 + 60 + 40 = 1350; 30 % of the price leaves 1350 / 0.7. Lines: pieces
    # 940 / 0.7 = 1342.857, installing 260 / 0.7 = 371.429, measuring 150 / 0.7 = 214.286; the net
    # is the sum of the printed lines.
    found = priced()
    assert [line.amount for line in found.lines] == [
        Decimal("1342.86"),
        Decimal("371.43"),
        Decimal("214.29"),
    ]
    assert found.cost == 1350
    assert found.net == Decimal("1928.58")
    assert found.margin == Decimal("578.58")


# Margin against markup: 30 % is 43 %, 40 % is 67 % (common practice; closed form m / (1 - m)).
@pytest.mark.parametrize(
    ("margin", "markup"), [(30, "42.9"), (40, "66.7"), (50, "100.0"), (0, "0.0")]
)
def test_margin_and_markup_agree_with_the_trade(margin, markup):
    found = priced(margin_pct=margin)
    assert found.margin_pct == pytest.approx(Decimal(margin), abs=Decimal("0.05"))
    assert found.markup_pct == Decimal(markup)


def test_contingency_is_a_reserve_and_no_margin():
    # 10 % of 1350 / 0.7.
    found = priced(contingency_pct=10)
    assert found.net == Decimal("1928.58") + Decimal("192.86")
    assert found.margin_pct == Decimal("30.0")


def test_tax_comes_on_the_net():
    found = priced(tax_pct="8.25")
    assert found.tax == Decimal("159.11")  # 1928.58 x 0.0825 = 159.108
    assert found.total == Decimal("2087.69")
    assert found.deposit == Decimal("835.08")


def test_tax_by_line_is_rounded_by_line():
    at = job(tax_pct="8.25")
    found = quote(at, made.made_up_plan(), sheet(), taxed="lines")
    assert found.tax == sum(cents(line.amount * Decimal("0.0825")) for line in found.lines)


def test_a_small_job_is_raised_to_the_least():
    found = priced(sheet("10.00", "0.5", "0.5"), minimum_job=900, survey_hours=0, verify_hours=0)
    assert found.net == 900
    assert sum(line.amount for line in found.lines) == 900


def test_the_survey_fee_is_credited_but_was_earned():
    found = priced(survey_fee=250)
    assert found.net == Decimal("1678.58")
    assert found.lines[-1].amount == -250
    assert found.margin == Decimal("578.58")


def test_client_lines_name_no_cost_and_no_margin():
    found = priced(contingency_pct=5, survey_fee=250)
    items = [line.item for line in (*found.lines, *found.payments)]
    client = Reader("client")
    text = " ".join(sentences((*items, *found.assumptions, *found.exclusions), client)).lower()
    for word in ("margin", "markup", "cost", "wage", "burden", "rate "):
        assert word not in text
    amounts = {line.amount for line in found.lines}
    assert not amounts & {line.amount for line in found.costs}


def test_exclusions_and_assumptions_keep_the_usual_disputes_out():
    found = priced()
    client = Reader("client")
    excluded = " ".join(sentences(found.exclusions, client)).lower()
    assumed = " ".join(sentences(found.assumptions, client)).lower()
    assert (
        "soundproof" in excluded
        and "ventilation" in excluded
        and "permits" in excluded
        and "electrical" in excluded
    )
    assert "studs" in assumed and "wires" in assumed and "furniture" in assumed


def test_a_margin_of_all_the_price_is_refused():
    with pytest.raises(ValueError, match="margin_pct"):
        priced(margin_pct=100)


money = st.decimals(min_value=0, max_value=5000, places=2)
percent = st.decimals(min_value=0, max_value=60, places=2)


@settings(max_examples=60, deadline=None)
@given(
    cost=money,
    hours=st.decimals(min_value=0, max_value=80, places=2),
    margin=percent,
    tax=percent,
    contingency=percent,
    fee=money,
    deposit=percent,
)
def test_sums_add_up_on_the_printed_page(cost, hours, margin, tax, contingency, fee, deposit):
    found = priced(
        sheet(str(cost), str(hours), "3.35"),
        margin_pct=margin,
        tax_pct=tax,
        contingency_pct=contingency,
        survey_fee=fee,
        deposit_pct=deposit,
    )
    assert sum(line.amount for line in found.lines) == found.net
    assert found.net + found.tax == found.total
    assert sum(line.amount for line in found.costs) == found.cost
    assert sum(line.amount for line in found.payments) == found.total
    printed = [line.amount for line in (*found.lines, *found.costs, *found.payments)]
    assert all(
        amount == cents(amount) for amount in (*printed, found.tax, found.total, found.deposit)
    )
    # The three lines that hold the margin stray from the exact price by half a cent each at the
    # most.
    earned = found.cost + found.margin
    assert abs(earned - price_for(found.cost, Decimal(margin))) <= Decimal("0.015")


def test_a_quote_goes_to_plain_values_and_back():
    found = priced(tax_pct="8.25", survey_fee=250)
    assert from_plain(Quote, to_plain(found)) == found


def test_a_plan_on_a_wall_without_known_studs_says_so():
    at = replace(job(), framing=())
    plan = made.made_up_plan(made.on("north", "A1", "2 in panel", 30, 36, 24, 48))
    assumptions = quote(at, plan, sheet()).assumptions
    assert fact(Assumption.FRAMING_UNKNOWN, face="north") in assumptions


def test_changes_and_payments_end_in_what_is_due():
    signed = priced(tax_pct=10)  # 1928.58 + 192.86
    extra = change_order(
        signed,
        number=1,
        text="one more panel behind the door",
        cost=Decimal(70),
        margin_pct=Decimal(30),
        signed_on="2026-06-01",
        signed_by="Client A",
        days=2,
    )
    assert (extra.net, extra.tax, extra.total) == (100, 10, 110)
    bill = invoice(
        signed,
        number="2026-014",
        date="2026-06-20",
        paid=signed.deposit,
        changes=[extra],
        verified=True,
    )
    assert bill.net == Decimal("2028.58")
    assert bill.total == Decimal("2231.44")
    assert bill.due == Decimal("2231.44") - Decimal("848.58")
    assert sum(line.amount for line in (*bill.lines, *bill.changes)) == bill.net


def test_a_change_that_nobody_signed_is_refused():
    facts = {
        "number": 1,
        "text": "x",
        "cost": Decimal(1),
        "margin_pct": Decimal(30),
        "signed_on": "2026-06-01",
    }
    with pytest.raises(ValueError, match="signed_by"):
        change_order(priced(), **facts, signed_by=" ")
    with pytest.raises(ValueError, match="paid"):
        invoice(priced(), number="1", date="2026-06-01", paid=Decimal(-1))


def test_only_the_lines_that_the_place_taxes_carry_tax():
    # Pieces 1342.86 alone at 8.25 %: 110.79.
    at = job(tax_pct="8.25")
    rates = replace(at.shop.rates, taxed=("pieces",))
    found = quote(replace(at, shop=replace(at.shop, rates=rates)), made.made_up_plan(), sheet())
    assert (found.taxed_net, found.tax) == (Decimal("1342.86"), Decimal("110.79"))
    assert [line.taxed for line in found.lines] == [True, False, False]


def test_tax_of_every_line_adds_up_on_the_page():
    at = job(tax_pct="8.25")
    rates = replace(at.shop.rates, tax_rounding="lines")
    found = quote(replace(at, shop=replace(at.shop, rates=rates)), made.made_up_plan(), sheet())
    assert sum(line.tax for line in found.lines) == found.tax > 0


def test_disposal_and_work_by_others_are_costs_with_their_margin():
    # 1350 + 30 + 70 = 1450, by hand; at 30 % of the price 2071.43, to a cent a line.
    found = priced(disposal=30, subcontract=70)
    assert found.cost == 1450
    assert found.net == pytest.approx(Decimal("2071.43"), abs=Decimal("0.02"))


def test_what_is_held_back_is_not_due_yet():
    # 1928.58 + 10 % tax = 2121.44; 5 % of it, 106.07, is held back.
    bill = invoice(
        priced(tax_pct=10),
        number="7",
        date="2026-06-20",
        paid=Decimal(1000),
        retainage_pct=Decimal(5),
        order="PO-17",
        terms="14 days",
        verified=True,
    )
    assert (bill.total, bill.retained) == (Decimal("2121.44"), Decimal("106.07"))
    assert bill.due == Decimal("2121.44") - 1000 - Decimal("106.07")
    assert (bill.order, bill.terms) == ("PO-17", "14 days")
    for wrong in ({"number": " "}, {"retainage_pct": Decimal(101)}):
        with pytest.raises(ValueError, match=next(iter(wrong))):
            invoice(priced(), **{"number": "1", "date": "2026-06-01", "paid": Decimal(0), **wrong})


def test_changes_and_invoices_are_written_and_name_no_cost(tmp_path, capsys):
    folder = tmp_path / "room"
    size = ["--length", "14 ft", "--width", "12 ft", "--height", "8 ft"]
    named = ["--use", "podcast room", "--client", "Client A", "--title", "Story room"]
    assert main(["new", str(folder), *size, *named]) == 0
    signed = priced(tax_pct=10)
    agreement = Agreement(
        signed_on="2026-05-11",
        signed_by="Client A",
        method="test",
        plan=made.made_up_plan(),
        quote=signed,
    )
    write_signed(folder, to_plain(agreement))
    change = [
        "quote",
        str(folder),
        "--change",
        "one more panel behind the door",
        "--cost",
        "70",
        "--days",
        "2",
    ]
    assert main(change) == 2  # nobody signed it
    assert main([*change, "--sign", "Client A", "--date", "2026-06-01"]) == 0
    assert main([*change, "--sign", "Client A", "--date", "2026-06-02"]) == 0
    assert [signed.plain["number"] for signed in read_changes(folder)] == [1, 2]
    capsys.readouterr()
    bill = [
        "quote",
        str(folder),
        "--invoice",
        "2026-014",
        "--paid",
        "848.58",
        "--order",
        "PO-17",
        "--json",
    ]
    assert main(bill) == 0
    found = json.loads(capsys.readouterr().out)
    # Two changes of 70 / 0.7 = 100 and 10 % tax each; the last step waits for the second measuring.
    last = signed.payments[-1].amount
    assert len(found["changes"]) == 2
    assert Decimal(found["due"]) == signed.total + 220 - Decimal("848.58") - last
    assert main(bill) == 2  # the same number again
    assert "never used again" in capsys.readouterr().err
    late = ["quote", str(folder), "--invoice", "2026-015", "--milestone"]
    assert main([*late, "final"]) == 2  # nothing was measured again
    assert "no recordings after the work" in capsys.readouterr().err
    note = ["quote", str(folder), "--credit", "2026-016", "--against", "2026-014", "--json"]
    assert main(note) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["credits"], found["due"]) == ("2026-014", "0")
    assert Decimal(found["total"]) < 0
    assert main([*late, "deposit", "--bill-to", "1 Made-up Lane", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert Decimal(found["total"]) == signed.payments[0].amount == Decimal(found["due"])
    page = (folder / "documents" / "invoice-2026-015.html").read_text("utf-8")
    assert "1 Made-up Lane" in page and "Due on" in page and "Tax, 10 %" in page
    capsys.readouterr()
    page = (folder / "documents" / "invoice-2026-014.html").read_text("utf-8").lower()
    assert "po-17" in page and "change 1" in page
    for word in ("margin", "markup", "burden", "cost"):
        assert word not in page.split("<body>")[1]
    assert main(["quote", str(folder), "--invoice", "3", "--paid", "-5"]) == 2
    assert "not an amount of money" in capsys.readouterr().err


# --- papers: what was ordered, happened and was not billed before, to the cent


def bills_of(signed, *, paid_as_billed=True):
    """Deposit, delivery and the rest, each billed once."""
    bills = []
    for number, step in enumerate((Line.ON_ACCEPTANCE, Line.ON_DELIVERY, Line.ON_RESULT), 1):
        paid = sum((bill.claimed for bill in bills), Decimal(0)) if paid_as_billed else Decimal(0)
        bills.append(
            invoice(
                signed,
                number=str(number),
                date=f"2026-06-0{number}",
                paid=paid,
                earlier=bills,
                milestone=step,
                verified=True,
            )
        )
    return bills


@pytest.mark.parametrize("tax_pct", [0, 7, Decimal("8.25"), 19])
@pytest.mark.parametrize("paid", [True, False])
def test_the_steps_add_up_to_the_signed_total_less_the_unused_allowance(tax_pct, paid):
    signed = priced(tax_pct=tax_pct, contingency_pct=10)
    allowance = sum(line.amount for line in signed.lines if line.item.kind is Line.ALLOWANCE)
    assert allowance > 0
    bills = bills_of(signed, paid_as_billed=paid)
    due = sum(bill.due for bill in bills)
    saved = allowance * (1 + Decimal(tax_pct) / 100)
    assert due == pytest.approx(signed.total - saved, abs=Decimal("0.011"))
    assert [bill.total for bill in bills[:2]] == [step.amount for step in signed.payments[:2]]
    assert all(bill.net + bill.tax == bill.total for bill in bills)


def test_the_allowance_is_billed_as_it_was_used_and_no_more():
    signed = priced(tax_pct=10, contingency_pct=10)
    some = {"number": "1", "date": "2026-06-01", "paid": Decimal(0), "verified": True}
    used = invoice(signed, **some, allowance_used=Decimal(50))
    unused = invoice(signed, **some)
    assert used.total - unused.total == 55
    with pytest.raises(CannotBill, match="change order"):
        invoice(signed, **some, allowance_used=Decimal(100000))


def test_a_step_is_billed_once_and_again_only_after_a_credit_note():
    signed = priced(tax_pct=10)
    first = invoice(
        signed, number="1", date="2026-06-01", paid=Decimal(0), milestone=Line.ON_ACCEPTANCE
    )
    again = {"date": "2026-06-02", "paid": Decimal(0), "milestone": Line.ON_ACCEPTANCE}
    with pytest.raises(CannotBill, match="billed already"):
        invoice(signed, number="2", earlier=[first], **again)
    note = credit_note(first, number="2", date="2026-06-02", amount=first.total, earlier=[first])
    assert (note.total, note.net + note.tax, note.due) == (-first.total, -first.total, 0)
    once_more = invoice(signed, number="3", earlier=[first, note], **again)
    assert once_more.due == first.due
    with pytest.raises(CannotBill, match="never used again"):
        invoice(signed, number="2", earlier=[first, note], **again)
    with pytest.raises(CannotBill, match="taken back"):
        credit_note(first, number="4", date="2026-06-03", amount=Decimal(1), earlier=[first, note])


def test_nothing_due_is_below_zero():
    signed = priced(tax_pct=10)
    bill = invoice(signed, number="1", date="2026-06-20", paid=signed.total + 100, verified=True)
    assert (bill.due, bill.credit) == (0, 100)


@pytest.mark.parametrize(
    ("weeks", "signed_on", "days", "promised"),
    [
        # By a calendar: six weeks after Monday, 11 May 2026 is Monday, 22 June.
        (6, "2026-05-11", (), "2026-06-22"),
        (6, "2026-05-11", (3, -1), "2026-06-24"),
        (4, "2028-02-01", (1,), "2028-03-01"),
        (None, "2026-05-11", (), None),
        (6, "in May", (), None),
    ],
)
def test_the_second_visit_is_promised_for_a_day_of_the_calendar(weeks, signed_on, days, promised):
    agreement = SimpleNamespace(plan=SimpleNamespace(weeks=weeks), signed_on=signed_on)
    found = promised_day(agreement, [SimpleNamespace(days=number) for number in days])
    assert (found and found.isoformat()) == promised
