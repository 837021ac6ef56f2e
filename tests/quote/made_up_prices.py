"""A job with rates by hand, and what a sheet of it costs."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import made_up_story_room as made

from roomcheck.quote import Quote, quote
from roomcheck.workshop import BuildSheet, Purchase


def sheet(cost: str = "400.00", build: str = "10", install: str = "4") -> BuildSheet:
    bought = Purchase(
        item="wool",
        unit="board",
        net=Decimal(10),
        with_waste=Decimal("10.5"),
        packs=2,
        pack=Decimal(6),
        cost=Decimal(cost),
        left=Decimal(2),
    )
    return BuildSheet(
        sheets=(),
        purchases=(bought,) if Decimal(cost) else (),
        hanging=(),
        build_hours=Decimal(build),
        install_hours=Decimal(install),
        weight_kg=50.0,
        cautions=(),
    )


def job(**rates):
    found = made.made_up_job()
    plain = {
        "hour": 50,
        "margin_pct": 30,
        "contingency_pct": 0,
        "tax_pct": 0,
        "travel": 60,
        "consumables": 40,
        "survey_fee": 0,
        "minimum_job": 0,
        "survey_hours": 2,
        "verify_hours": 1,
        "deposit_pct": 40,
    }
    changed = {key: Decimal(str(value)) for key, value in {**plain, **rates}.items()}
    return replace(found, shop=replace(found.shop, rates=replace(found.shop.rates, **changed)))


def priced(sheet_: BuildSheet | None = None, **rates) -> Quote:
    return quote(job(**rates), made.made_up_plan(), sheet_ or sheet())
