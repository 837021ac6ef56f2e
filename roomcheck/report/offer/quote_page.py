"""The price on one page: for those who ask for a figure and nothing else."""

from __future__ import annotations

from roomcheck.report.offer.front import duration, head_facts, promise_line, signature, what_hangs
from roomcheck.report.offer.offered import Offered
from roomcheck.report.offer.price import extra_boxes, price_blocks
from roomcheck.report.pages.parts import blocks
from roomcheck.report.render.blocks import Document, Facts, Text
from roomcheck.report.render.names import QUOTE
from roomcheck.words import heading, say


def quote_page(offered: Offered) -> Document:
    """What it costs, what for, when it is paid."""
    job, plan = offered.job, offered.plan
    rates, words = job.shop.rates, job.shop.words
    payment = words.payment or rates.terms
    pay = (
        (say("bill_terms"), payment),
        (say("bill_pay_to"), rates.pay_to),
        (say("bill_tax_id"), rates.tax_id),
    )
    return Document(
        name=QUOTE,
        title=say("quote_title", number=offered.number),
        subtitle=say("proposal_sub", title=job.title, client=job.client),
        blocks=blocks(
            head_facts(offered, who=True),
            (Text(body=words.greeting),) if words.greeting else (),
            Facts(
                pairs=(
                    (say("quote_for"), heading(f"{what_hangs(plan)}.")),
                    (say("duration"), duration(plan)),
                    (say("promise"), promise_line(offered)),
                )
            ),
            price_blocks(job, offered.quote),
            extra_boxes(job, offered.quote),
            Facts(pairs=tuple(pair for pair in pay if pair[1])) if any(v for _, v in pay) else (),
            Text(body=say("quote_rests", number=offered.number), small=True),
            signature(offered),
        ),
    )
