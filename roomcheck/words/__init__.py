"""Facts to sentences and numbers to text, for a client, a contractor or an acoustician.

No other stage makes any: `sentence` for facts, `say` and `items` for the words that stand on every
document, and one function for each kind of number.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

from roomcheck.words.documents.texts import LANGUAGE, items, mean_name, say, yes_no
from roomcheck.words.numbers import (
    NONE,
    across,
    area,
    beside,
    by,
    counted,
    decibels,
    expanded,
    heading,
    hours,
    length,
    limits,
    money,
    outwards,
    pieces_of,
    plus_minus,
    quantity,
    reach,
    rounded_up,
    seconds,
    size,
    temperature,
    volume,
    weight,
    with_limit,
)
from roomcheck.words.places import face_text
from roomcheck.words.reader import Reader
from roomcheck.words.saying import say_to, sentence, sentences
from roomcheck.words.shop.steps import part_text
from roomcheck.words.shop.work import pattern_in_short, task_text

if TYPE_CHECKING:
    from roomcheck.words.plans.plan import (
        change_lines,
        plan_notes,
        plan_title,
        promise_odds,
        tighter,
        tolerance,
        why_lines,
    )
    from roomcheck.words.saying import joined, shortened
    from roomcheck.words.shop.hanging import found_text, row_of_pieces
    from roomcheck.words.shop.stock import stock_name, stock_names
    from roomcheck.words.verdicts.findings import (
        finding_certainty,
        finding_limit,
        finding_notice,
        finding_numbers,
        finding_title,
    )
    from roomcheck.words.verdicts.glossary import finding_meanings
    from roomcheck.words.verdicts.proof import proof_sentence, value_name
    from roomcheck.words.verdicts.reflections import reflection_text
    from roomcheck.words.verdicts.verdict import limit_words, verdict_sentence
    from roomcheck.words.visit.analysis import closing_sentences, left_out, mode_name
    from roomcheck.words.visit.decays import band_sentences
    from roomcheck.words.visit.evidence import (
        arrival_remarks,
        mode_remarks,
        rattle_text,
        response_text,
    )

_HOMES = {
    "arrival_remarks": "visit.evidence",
    "mode_remarks": "visit.evidence",
    "rattle_text": "visit.evidence",
    "response_text": "visit.evidence",
    "change_lines": "plans.plan",
    "joined": "saying",
    "limit_words": "verdicts.verdict",
    "plan_notes": "plans.plan",
    "plan_title": "plans.plan",
    "promise_odds": "plans.plan",
    "found_text": "shop.hanging",
    "row_of_pieces": "shop.hanging",
    "shortened": "saying",
    "stock_name": "shop.stock",
    "stock_names": "shop.stock",
    "tighter": "plans.plan",
    "tolerance": "plans.plan",
    "why_lines": "plans.plan",
    "band_sentences": "visit.decays",
    "closing_sentences": "visit.analysis",
    "finding_certainty": "verdicts.findings",
    "finding_limit": "verdicts.findings",
    "finding_meanings": "verdicts.glossary",
    "finding_notice": "verdicts.findings",
    "finding_numbers": "verdicts.findings",
    "finding_title": "verdicts.findings",
    "left_out": "visit.analysis",
    "mode_name": "visit.analysis",
    "proof_sentence": "verdicts.proof",
    "value_name": "verdicts.proof",
    "reflection_text": "verdicts.reflections",
    "verdict_sentence": "verdicts.verdict",
}
"""Words of whole results; their modules import those of the stages, so they wait until used."""

__all__ = [
    "LANGUAGE",
    "NONE",
    "Reader",
    "across",
    "area",
    "arrival_remarks",
    "band_sentences",
    "beside",
    "by",
    "change_lines",
    "closing_sentences",
    "counted",
    "decibels",
    "expanded",
    "face_text",
    "finding_certainty",
    "finding_limit",
    "finding_meanings",
    "finding_notice",
    "finding_numbers",
    "finding_title",
    "found_text",
    "heading",
    "hours",
    "items",
    "joined",
    "left_out",
    "length",
    "limit_words",
    "limits",
    "mean_name",
    "mode_name",
    "mode_remarks",
    "money",
    "outwards",
    "part_text",
    "pattern_in_short",
    "pieces_of",
    "plan_notes",
    "plan_title",
    "plus_minus",
    "promise_odds",
    "proof_sentence",
    "quantity",
    "rattle_text",
    "reach",
    "reflection_text",
    "response_text",
    "rounded_up",
    "row_of_pieces",
    "say",
    "say_to",
    "seconds",
    "sentence",
    "sentences",
    "shortened",
    "size",
    "stock_name",
    "stock_names",
    "task_text",
    "temperature",
    "tighter",
    "tolerance",
    "value_name",
    "verdict_sentence",
    "volume",
    "weight",
    "why_lines",
    "with_limit",
    "yes_no",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'roomcheck.words' has no attribute {name!r}")
    return getattr(importlib.import_module(f"roomcheck.words.{_HOMES[name]}"), name)
