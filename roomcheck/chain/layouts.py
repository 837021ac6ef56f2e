"""Pieces as a person placed them, with prediction, promise and price: kept by their state."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.chain.inputs import digest, job_inputs
from roomcheck.chain.method import method_of
from roomcheck.job import Layout

if TYPE_CHECKING:
    from roomcheck.chain.results import Chain
    from roomcheck.quote import Offer


def drawn_from(chain: Chain, layout: Layout) -> str:
    """A digest of all that a state's plan and price depend on."""
    stages = ("recommend", "predict", "workshop", "quote")
    inputs = job_inputs(chain.job, stages)
    return digest([chain.verdict_from("before"), inputs, layout.pieces, method_of("quote")])


def kept_drawn(chain: Chain, layout: Layout) -> Offer | None:
    """A state's plan and price as they are kept; None where they are not worked out yet."""
    from roomcheck.quote import Offer

    return chain.results.read(_name(layout), drawn_from(chain, layout), Offer)


def draw(chain: Chain, layout: Layout) -> Offer:
    """A state's plan and price, worked out now where they are not kept.

    Raises
    ------
    CannotHang
        A piece may not hang where it was put: the room has changed since.
    """
    from roomcheck.quote import Offer, quote
    from roomcheck.recommend import drawn
    from roomcheck.workshop import build

    kept = kept_drawn(chain, layout)
    if kept is not None:
        return kept
    plan = drawn(chain.site, layout.pieces)
    offer = Offer(plan=plan, quote=quote(chain.job, plan, build(chain.job, plan)))
    return chain.results.write(_name(layout), drawn_from(chain, layout), Offer, offer)


def _name(layout: Layout) -> str:
    return f"layout-{layout.number:04d}"
