"""Facts to sentences and numbers to text, for a client, a contractor or an acoustician.

No other stage makes any: `sentence` for facts, `say` and `items` for the words that stand on every
document, and one function for each kind of number.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

from roomcheck.words.documents import LANGUAGE, items, say
from roomcheck.words.numbers import (
    NONE,
    across,
    area,
    band,
    beside,
    by,
    decibels,
    heading,
    hours,
    length,
    limits,
    money,
    pieces_of,
    plus_minus,
    quantity,
    reach,
    seconds,
    size,
    temperature,
    volume,
    weight,
)
from roomcheck.words.reader import Reader
from roomcheck.words.saying import sentence, sentences
from roomcheck.words.shop import pattern_in_short, task_text
from roomcheck.words.steps import part_text

if TYPE_CHECKING:
    from roomcheck.words.analysis import closing_sentences, left_out, mode_name
    from roomcheck.words.decays import band_sentences
    from roomcheck.words.verdicts.findings import (
        finding_certainty,
        finding_limit,
        finding_notice,
        finding_numbers,
        finding_title,
    )
    from roomcheck.words.verdicts.proof import proof_sentence, value_name
    from roomcheck.words.verdicts.reflections import reflection_text
    from roomcheck.words.verdicts.verdict import verdict_sentence

_HOMES = {
    "band_sentences": "decays",
    "closing_sentences": "analysis",
    "finding_certainty": "verdicts.findings",
    "finding_limit": "verdicts.findings",
    "finding_notice": "verdicts.findings",
    "finding_numbers": "verdicts.findings",
    "finding_title": "verdicts.findings",
    "left_out": "analysis",
    "mode_name": "analysis",
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
    "band",
    "band_sentences",
    "beside",
    "by",
    "closing_sentences",
    "decibels",
    "finding_certainty",
    "finding_limit",
    "finding_notice",
    "finding_numbers",
    "finding_title",
    "heading",
    "hours",
    "items",
    "left_out",
    "length",
    "limits",
    "mode_name",
    "money",
    "part_text",
    "pattern_in_short",
    "pieces_of",
    "plus_minus",
    "proof_sentence",
    "quantity",
    "reach",
    "reflection_text",
    "say",
    "seconds",
    "sentence",
    "sentences",
    "size",
    "task_text",
    "temperature",
    "value_name",
    "verdict_sentence",
    "volume",
    "weight",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'roomcheck.words' has no attribute {name!r}")
    return getattr(importlib.import_module(f"roomcheck.words.{_HOMES[name]}"), name)
