"""A price from quantities and hours: Decimal throughout, rounded once, on the printed line."""

from __future__ import annotations

from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

from roomcheck.job import Job
from roomcheck.quote.results import PriceLine, Quote
from roomcheck.recommend import Plan
from roomcheck.workshop import BuildSheet

CENT = Decimal("0.01")

EXCLUSIONS = (
    "Soundproofing: panels inside a room do not stop sound through its walls.",
    "Noise of heating and ventilation.",
    "Painting and repair of walls, electrical work, moved lamps or outlets.",
    "Permits, engineering of overhead fixings, and tests for asbestos or lead.",
)


def cents(amount: Decimal) -> Decimal:
    """An amount as printed.

    >>> cents(Decimal("2.005"))
    Decimal('2.01')
    """
    return amount.quantize(CENT, rounding=ROUND_HALF_UP)


def price_for(cost: Decimal, margin_pct: Decimal) -> Decimal:
    """The price that leaves a margin, which is a share of the price and not of the cost.

    >>> price_for(Decimal(700), Decimal(30)) == 1000
    True
    """
    return cost / (1 - margin_pct / 100)


def quote(
    job: Job, plan: Plan, sheet: BuildSheet, *, taxed: Literal["net", "lines"] | None = None
) -> Quote:
    """What the client pays for a plan, and what it costs the shop.

    Price = (materials + hours at the burdened rate + travel + consumables + disposal + subcontract)
    / (1 - margin) + contingency, raised to the shop's least job where it is below, less the survey
    fee that was paid. The contingency is a reserve: it counts neither as cost nor as margin.

    Parameters
    ----------
    job : Job
        Its shop's rates and prices.
    plan : Plan
    sheet : BuildSheet
        Of that plan.
    taxed : "net", "lines" or None
        Tax on the taxed sum, rounded once, or rounded on every line: the place's rules say which;
        None takes the shop's setting. Which lines carry tax is a setting of the shop too.

    Raises
    ------
    ValueError
        The shop's margin is 100 % or more.
    """
    rates = job.shop.rates
    if not Decimal(0) <= rates.margin_pct < 100:
        raise ValueError(f"margin_pct: found {rates.margin_pct}, needed 0 or above and below 100")
    costs = _costs(job, sheet)
    cost = sum((line.amount for line in costs), Decimal(0))
    lines = _client_lines(job, plan, sheet, costs)
    net = sum((line.amount for line in lines), Decimal(0))
    base = sum((line.amount for line in lines if line.taxed), Decimal(0))
    tax = cents(base * rates.tax_pct / 100)
    if (taxed or rates.tax_rounding) == "lines":
        lines = tuple(
            replace(x, tax=cents(x.amount * rates.tax_pct / 100) if x.taxed else Decimal(0))
            for x in lines
        )
        tax = sum((line.tax for line in lines), Decimal(0))
    total = net + tax
    deposit = cents(total * rates.deposit_pct / 100)
    earned = sum(
        (line.amount for line in lines if line.text not in (_CREDIT, _ALLOWANCE)), Decimal(0)
    )
    return Quote(
        lines=lines,
        net=net,
        tax_pct=rates.tax_pct,
        tax=tax,
        total=total,
        deposit=deposit,
        valid_days=rates.valid_days,
        costs=costs,
        cost=cost,
        margin=earned - cost,
        margin_pct=_share(earned - cost, earned),
        markup_pct=_share(earned - cost, cost),
        assumptions=_assumptions(job, plan, sheet),
        exclusions=EXCLUSIONS,
        payments=_payments(total, deposit, rates.delivery_pct),
        taxed_net=base,
    )


_CREDIT = "Survey fee, credited"
_ALLOWANCE = "Allowance for the unforeseen"


def _payments(total: Decimal, deposit: Decimal, delivery_pct: Decimal) -> tuple[PriceLine, ...]:
    """Deposit, a share on delivery, the rest when the result is measured and signed."""
    delivery = min(cents(total * delivery_pct / 100), total - deposit)
    steps = (
        ("On acceptance", deposit),
        ("On delivery", delivery),
        ("When the result is measured and signed", total - deposit - delivery),
    )
    return tuple(PriceLine(text=text, amount=amount) for text, amount in steps if amount)


def _share(part: Decimal, whole: Decimal) -> Decimal:
    return (
        (100 * part / whole).quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)
        if whole
        else Decimal(0)
    )


def _costs(job: Job, sheet: BuildSheet) -> tuple[PriceLine, ...]:
    rates = job.shop.rates
    bought = [
        PriceLine(text=f"{p.item}, {p.packs} × {p.pack} {p.unit}", amount=cents(p.cost))
        for p in sheet.purchases
    ]
    hours = (
        ("Building", sheet.build_hours),
        ("Installing", sheet.install_hours),
        ("Survey and report", rates.survey_hours),
        ("Measuring again", rates.verify_hours),
    )
    worked = [
        PriceLine(text=f"{name}, {h.normalize():f} h", amount=cents(h * rates.hour))
        for name, h in hours
        if h
    ]
    rest = [PriceLine(text="Travel", amount=cents(rates.travel))]
    rest.append(PriceLine(text="Consumables", amount=cents(rates.consumables)))
    rest.append(PriceLine(text="Disposal", amount=cents(rates.disposal)))
    rest.append(PriceLine(text="Work by others", amount=cents(rates.subcontract)))
    return (*bought, *worked, *(line for line in rest if line.amount))


def _client_lines(
    job: Job, plan: Plan, sheet: BuildSheet, costs: tuple[PriceLine, ...]
) -> tuple[PriceLine, ...]:
    rates = job.shop.rates
    priced = price_for(sum((c.amount for c in costs), Decimal(0)), rates.margin_pct)
    measuring = price_for((rates.survey_hours + rates.verify_hours) * rates.hour, rates.margin_pct)
    on_site = sheet.install_hours * rates.hour + rates.travel + rates.disposal + rates.subcontract
    installing = price_for(on_site, rates.margin_pct)
    pieces = priced - measuring - installing
    lines = [
        _line("Pieces, built and finished", pieces, "pieces" in rates.taxed),
        _line("Delivery and installation", installing, "installation" in rates.taxed),
        _line("Measuring before and after, with reports", measuring, "measuring" in rates.taxed),
        _line(_ALLOWANCE, priced * rates.contingency_pct / 100, "allowance" in rates.taxed),
    ]
    lines = [line for line in lines if line.amount]
    short = rates.minimum_job - sum((line.amount for line in lines), Decimal(0))
    if short > 0:
        lines.append(_line("To the smallest job we take on", short, "pieces" in rates.taxed))
    if rates.survey_fee:
        lines.append(_line(_CREDIT, -rates.survey_fee, "measuring" in rates.taxed))
    return tuple(lines)


def _line(text: str, amount: Decimal, taxed: bool) -> PriceLine:
    return PriceLine(text=text, amount=cents(amount), taxed=taxed)


def _assumptions(job: Job, plan: Plan, sheet: BuildSheet) -> tuple[str, ...]:
    unknown = sorted({p.face for p in plan.pieces if job.framing_of(p.face) is None})
    found = [
        f"Framing of the {face} was not found on the visit; fixings there are priced as usual."
        for face in unknown
    ]
    if sheet.refusals:
        found.append(
            "Some pieces need another fixing than drawn; that is settled, and priced, before "
            "work begins."
        )
    return (
        *found,
        (
            "Walls and ceiling are sound, studs and joists are where they were found, and no wires "
            "or pipes run there."
        ),
        (
            "The room is free and its furniture moved aside on the day; there is access, power and "
            "a place to unload."
        ),
        "Fabric, wood and finish as in the signed samples; lead times are those of the suppliers.",
        f"The price holds for {job.shop.rates.valid_days} days.",
    )
