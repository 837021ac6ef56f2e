"""Pieces as a person placed them, with prediction, promise and price: kept by their state.

Plan and price are kept apart: an option that is ticked asks for another price, not for another
prediction.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.chain.inputs import digest, job_inputs
from roomcheck.chain.method import method_of
from roomcheck.job import Layout

if TYPE_CHECKING:
    from roomcheck.chain.results import Chain
    from roomcheck.quote import Offer
    from roomcheck.recommend import Plan


def _plan_from(chain: Chain, layout: Layout) -> str:
    inputs = job_inputs(chain.job, ("recommend", "predict"))
    verdict = chain.verdict_from("before")
    return digest([verdict, inputs, layout.pieces, method_of("recommend")])


def _quote_from(chain: Chain, layout: Layout) -> str:
    inputs = job_inputs(chain.job, ("workshop", "quote"))
    return digest([_plan_from(chain, layout), inputs, method_of("quote")])


def kept_plan(chain: Chain, layout: Layout) -> Plan | None:
    """A state's plan as it is kept; None where it is not worked out yet."""
    from roomcheck.recommend import Plan

    return chain.results.read(_name(layout), _plan_from(chain, layout), Plan)


def kept_drawn(chain: Chain, layout: Layout) -> Offer | None:
    """A state's plan and price as they are kept; None where they are not worked out yet."""
    from roomcheck.quote import Offer, Quote

    plan = kept_plan(chain, layout)
    quote = chain.results.read(_quote_name(layout), _quote_from(chain, layout), Quote)
    return None if plan is None or quote is None else Offer(plan=plan, quote=quote)


def draw(chain: Chain, layout: Layout) -> Offer:
    """A state's plan and price, worked out now where they are not kept.

    Raises
    ------
    CannotHang
        A piece may not hang where it was put: the room has changed since.
    """
    from roomcheck.quote import Offer, Quote, quote
    from roomcheck.recommend import Plan, drawn
    from roomcheck.workshop import build

    kept = kept_drawn(chain, layout)
    if kept is not None:
        return kept
    plan = kept_plan(chain, layout)
    if plan is None:
        plan = drawn(chain.site, layout.pieces)
        chain.results.write(_name(layout), _plan_from(chain, layout), Plan, plan)
    price = quote(chain.job, plan, build(chain.job, plan))
    chain.results.write(_quote_name(layout), _quote_from(chain, layout), Quote, price)
    return Offer(plan=plan, quote=price)


def _name(layout: Layout) -> str:
    return f"layout-{layout.number:04d}"


def _quote_name(layout: Layout) -> str:
    return f"{_name(layout)}-quote"
