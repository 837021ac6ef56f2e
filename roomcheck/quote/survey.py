"""What the first visit costs where nothing is built after it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from roomcheck.job import Job
from roomcheck.quote.price import cents


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitFee:
    """The survey fee with its tax."""

    net: Decimal
    tax_pct: Decimal
    """[%]"""
    tax: Decimal
    total: Decimal


def visit_fee(job: Job) -> VisitFee:
    """Price the visit alone: measured, judged, written up."""
    rates = job.shop.rates
    net = cents(rates.survey_fee)
    taxed = "measuring" in rates.taxed
    tax = cents(net * rates.tax_pct / 100) if taxed else Decimal(0)
    return VisitFee(net=net, tax_pct=rates.tax_pct, tax=tax, total=net + tax)
