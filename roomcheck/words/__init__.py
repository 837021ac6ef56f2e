"""Facts to sentences and numbers to text, for a client, a contractor or an acoustician.

No other stage makes any: `sentence` for facts, `say` and `items` for the words that stand on every
document, and one function for each kind of number.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.doors import door

if TYPE_CHECKING:
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
    from roomcheck.words.plans.plan import (
        change_lines,
        plan_notes,
        plan_title,
        promise_odds,
        tighter_lines,
        tolerance,
        why_lines,
    )
    from roomcheck.words.reader import Reader
    from roomcheck.words.saying import joined, say_to, sentence, sentences, shortened
    from roomcheck.words.shop.hanging import found_text, row_of_pieces
    from roomcheck.words.shop.steps import part_text
    from roomcheck.words.shop.stock import stock_name, stock_names
    from roomcheck.words.shop.work import pattern_in_short, task_text
    from roomcheck.words.verdicts.findings import (
        finding_certainty,
        finding_limit,
        finding_notice,
        finding_numbers,
        finding_title,
    )
    from roomcheck.words.verdicts.glossary import finding_meanings
    from roomcheck.words.verdicts.proof import people_more, proof_sentence, value_name
    from roomcheck.words.verdicts.reflections import reflection_text
    from roomcheck.words.verdicts.remedies import free_move
    from roomcheck.words.verdicts.verdict import limit_words, verdict_sentence
    from roomcheck.words.visit.analysis import closing_sentences, left_out, mode_name
    from roomcheck.words.visit.decays import band_sentences, bands_sentences
    from roomcheck.words.visit.evidence import (
        arrival_remarks,
        mode_remarks,
        rattle_text,
        response_text,
    )

__all__ = [
    "LANGUAGE",
    "NONE",
    "Reader",
    "across",
    "area",
    "arrival_remarks",
    "band_sentences",
    "bands_sentences",
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
    "free_move",
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
    "people_more",
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
    "tighter_lines",
    "tolerance",
    "value_name",
    "verdict_sentence",
    "volume",
    "weight",
    "why_lines",
    "with_limit",
    "yes_no",
]

__getattr__, __dir__ = door(__name__)
