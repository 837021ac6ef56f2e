"""The verdict and what was found, for the measurement report, the proposal and the terminal."""

from __future__ import annotations

from roomcheck.judge import Finding, FindingKind, Outcome, Verdict
from roomcheck.report.render.blocks import Block, Bullets, Heading, Text, Tone, VerdictBox
from roomcheck.words import (
    Reader,
    finding_certainty,
    finding_limit,
    finding_notice,
    finding_numbers,
    finding_title,
    say,
    sentences,
    verdict_sentence,
)

TONES: dict[Outcome, Tone] = {
    Outcome.WITHIN: "good",
    Outcome.TOO_LONG: "bad",
    Outcome.TOO_SHORT: "bad",
}

SEEN_IN = {
    FindingKind.TOO_LIVE: "see_decays",
    FindingKind.TOO_DEAD: "see_decays",
    FindingKind.BOOMY: "see_decays",
    FindingKind.DULL: "see_decays",
    FindingKind.UNEVEN: "see_decays",
    FindingKind.RINGING_MODE: "see_modes",
    FindingKind.MISSING_NOTE: "see_response",
    FindingKind.BOUNDARY_DIP: "see_response",
}
"""The measurement report's figure that shows a finding, by the words that point there."""


def verdict_box(verdict: Verdict, reader: Reader, *, weak: bool = False) -> VerdictBox:
    """Return the verdict in one sentence; of a weak measurement, with what that means."""
    outcome = verdict.mid.outcome
    word = say(f"short_{outcome}")
    sentence = verdict_sentence(verdict, reader)
    if weak:
        return VerdictBox(word=word, sentence=f"{sentence} {say('box_weak')}", tone="open")
    return VerdictBox(word=word, sentence=sentence, tone=TONES.get(outcome, "open"))


def finding_blocks(finding: Finding, reader: Reader, *, figures: bool = True) -> tuple[Block, ...]:
    """Return what one notices, the numbers behind it, and what helps; pointing at the report's
    figures where it has them."""
    numbers = [
        say("evidence", text=finding_numbers(finding, reader)),
        say("threshold", text=finding_limit(finding, reader)),
    ]
    if finding.sure:
        numbers.append(say("sure", text=finding_certainty(finding, reader)))
    if figures and finding.kind in SEEN_IN:
        numbers.append(say(SEEN_IN[finding.kind]))
    return (
        Heading(text=finding_title(finding, reader), level=2),
        Text(body=finding_notice(finding, reader)),
        Text(body=" ".join(numbers), small=True),
        Text(body=say("remedies")),
        Bullets(items=sentences(finding.remedies, reader)),
    )
