"""A price from quantities and hours: Decimal throughout, rounded once, on the printed line."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

from roomcheck.facts import Fact, fact
from roomcheck.job import Extra, Job
from roomcheck.quote.kinds import Assumption, Exclusion, Line
from roomcheck.quote.results import PriceLine, Quote
from roomcheck.recommend import Plan
from roomcheck.workshop import BuildSheet, Purchase

CENT = Decimal("0.01")

EXCLUSIONS = (
    fact(Exclusion.SOUNDPROOFING),
    fact(Exclusion.VENTILATION),
    fact(Exclusion.PAINT_AND_ELECTRICAL),
    fact(Exclusion.PERMITS),
)
"""From every price."""
_NOT_EARNED = frozenset({Line.SURVEY_CREDIT, Line.ALLOWANCE})
"""Neither a reserve nor a fee that was paid before counts as earned by the job."""


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
    Options that the client takes are added to that, each at its cost / (1 - margin): a tick moves
    the total by its own line and the tax on it, and nothing else.

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
    taken = [extra for extra in job.extras if extra.taken]
    lines = (
        *_client_lines(job, sheet, _sum(costs)),
        *(_extra_line(job, extra) for extra in taken),
    )
    costs = (*costs, *(_extra_cost(extra) for extra in taken))
    cost = _sum(costs)
    net = _sum(lines)
    base = _sum(line for line in lines if line.taxed)
    tax = cents(base * rates.tax_pct / 100)
    if (taxed or rates.tax_rounding) == "lines":
        lines = tuple(_with_tax(line, rates.tax_pct) for line in lines)
        tax = sum((line.tax for line in lines), Decimal(0))
    total = net + tax
    deposit = cents(total * rates.deposit_pct / 100)
    earned = _sum(line for line in lines if line.item.kind not in _NOT_EARNED)
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


def _sum(lines: Iterable[PriceLine]) -> Decimal:
    return sum((line.amount for line in lines), Decimal(0))


def _with_tax(line: PriceLine, tax_pct: Decimal) -> PriceLine:
    return replace(line, tax=cents(line.amount * tax_pct / 100)) if line.taxed else line


def _payments(total: Decimal, deposit: Decimal, delivery_pct: Decimal) -> tuple[PriceLine, ...]:
    """Deposit, a share on delivery, the rest when the result is measured and signed."""
    delivery = min(cents(total * delivery_pct / 100), total - deposit)
    steps = (
        (Line.ON_ACCEPTANCE, deposit),
        (Line.ON_DELIVERY, delivery),
        (Line.ON_RESULT, total - deposit - delivery),
    )
    return tuple(PriceLine(item=fact(kind), amount=amount) for kind, amount in steps if amount)


def _share(part: Decimal, whole: Decimal) -> Decimal:
    """A part of a whole, to a tenth. [%]"""
    if not whole:
        return Decimal(0)
    return (100 * part / whole).quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)


def _costs(job: Job, sheet: BuildSheet) -> tuple[PriceLine, ...]:
    rates = job.shop.rates
    hours = (
        (Line.BUILDING, sheet.build_hours),
        (Line.INSTALLING, sheet.install_hours),
        (Line.SURVEY, rates.survey_hours),
        (Line.VERIFYING, rates.verify_hours),
    )
    others = (
        (Line.TRAVEL, rates.travel),
        (Line.CONSUMABLES, rates.consumables),
        (Line.DISPOSAL, rates.disposal),
        (Line.SUBCONTRACT, rates.subcontract),
    )
    bought = [_material(purchase) for purchase in sheet.purchases]
    worked = [
        PriceLine(item=fact(kind, hours=float(amount)), amount=cents(amount * rates.hour))
        for kind, amount in hours
        if amount
    ]
    paid = [PriceLine(item=fact(kind), amount=cents(amount)) for kind, amount in others]
    return (*bought, *worked, *(line for line in paid if line.amount))


def _material(purchase: Purchase) -> PriceLine:
    item = fact(
        Line.MATERIAL,
        item=purchase.item,
        packs=purchase.packs,
        pack=float(purchase.pack),
        unit=purchase.unit,
    )
    return PriceLine(item=item, amount=cents(purchase.cost))


def _client_lines(job: Job, sheet: BuildSheet, cost: Decimal) -> tuple[PriceLine, ...]:
    rates = job.shop.rates
    priced = price_for(cost, rates.margin_pct)
    measuring = price_for((rates.survey_hours + rates.verify_hours) * rates.hour, rates.margin_pct)
    on_site = sheet.install_hours * rates.hour + rates.travel + rates.disposal + rates.subcontract
    installing = price_for(on_site, rates.margin_pct)
    lines = [
        _pieces(job, sheet, priced - measuring - installing),
        _line(Line.INSTALLATION, installing, "installation" in rates.taxed),
        _line(Line.MEASURING, measuring, "measuring" in rates.taxed),
        _line(Line.ALLOWANCE, priced * rates.contingency_pct / 100, "allowance" in rates.taxed),
    ]
    lines = [line for line in lines if line.amount]
    short = rates.minimum_job - _sum(lines)
    if short > 0:
        lines.append(_line(Line.SMALLEST_JOB, short, "pieces" in rates.taxed))
    if rates.survey_fee:
        lines.append(_line(Line.SURVEY_CREDIT, -rates.survey_fee, "measuring" in rates.taxed))
    return tuple(lines)


def _pieces(job: Job, sheet: BuildSheet, amount: Decimal) -> PriceLine:
    """The pieces, with the names of the cloth, stain and paint that were chosen for them."""
    line = _line(Line.PIECES, amount, "pieces" in job.shop.rates.taxed)
    looks = [job.look_of(piece.piece) for piece in sheet.sheets]
    cloth, stain, paint = (
        tuple(dict.fromkeys(look.name for look in looks if look and look.kind == kind))
        for kind in ("cloth", "stain", "paint")
    )
    if not (cloth or stain or paint):
        return line
    return replace(line, item=fact(Line.PIECES_AS_CHOSEN, cloth=cloth, stain=stain, paint=paint))


def _line(kind: Line, amount: Decimal, taxed: bool) -> PriceLine:
    return PriceLine(item=fact(kind), amount=cents(amount), taxed=taxed)


def _extra_line(job: Job, extra: Extra) -> PriceLine:
    """What an option of the offer adds to the net, taken or not."""
    rates = job.shop.rates
    amount = cents(price_for(extra.cost, rates.margin_pct))
    item = fact(Line.EXTRA, name=extra.name)
    return PriceLine(item=item, amount=amount, taxed="pieces" in rates.taxed)


def extra_price(job: Job, extra: Extra) -> Decimal:
    """What an option adds to the total, with the tax on it; where tax is rounded once, a total may
    move by a cent more or less."""
    line = _extra_line(job, extra)
    return line.amount + (cents(line.amount * job.shop.rates.tax_pct / 100) if line.taxed else 0)


def _extra_cost(extra: Extra) -> PriceLine:
    return PriceLine(item=fact(Line.EXTRA, name=extra.name), amount=cents(extra.cost))


def _assumptions(job: Job, plan: Plan, sheet: BuildSheet) -> tuple[Fact[Assumption], ...]:
    faces = sorted({placed.face for placed in plan.pieces})
    unknown = [face for face in faces if job.framing_of(face) is None]
    assumed = [fact(Assumption.FRAMING_UNKNOWN, face=face) for face in unknown]
    if sheet.refusals:
        assumed.append(fact(Assumption.OTHER_FIXING))
    return (
        *assumed,
        fact(Assumption.SOUND_STRUCTURE),
        fact(Assumption.ROOM_FREE),
        fact(Assumption.SAMPLES),
        fact(Assumption.VALID, days=job.shop.rates.valid_days),
    )
