"""Every kind of finding in one line, for somebody who looks for a word."""

from __future__ import annotations

from roomcheck.judge import FindingKind

MEANINGS: dict[FindingKind, str] = {
    FindingKind.TOO_LIVE: "sound dies away too slowly for what the room is for",
    FindingKind.TOO_DEAD: "sound dies away too fast for what the room is for",
    FindingKind.BOOMY: "low sounds ring on longer than the rest",
    FindingKind.DULL: "high sounds die away much sooner than the rest",
    FindingKind.UNEVEN: "neighbouring bands die away at different rates",
    FindingKind.RINGING_MODE: "one low note rings on: a standing wave of the room",
    FindingKind.MISSING_NOTE: "low notes are missing at the seat",
    FindingKind.BOUNDARY_DIP: "a low band is weak because the loudspeaker stands near a surface",
    FindingKind.EARLY_REFLECTION: "a strong first reflection off a surface reaches the seat",
    FindingKind.EARLY_OBJECT: "a strong early reflection off furniture or equipment",
    FindingKind.HOLLOW: "sound and its early copy cancel and add in turn, like in a tube",
    FindingKind.SLAP: "a single late echo is heard by itself",
    FindingKind.FLUTTER: "a clap rattles between two bare parallel surfaces",
    FindingKind.LEFT_RIGHT: "left and right loudspeaker do not sound alike at the seat",
    FindingKind.UNCLEAR_SPEECH: "too little of speech arrives early enough to be clear",
    FindingKind.POOR_SPEECH_INDEX: "the speech transmission index is below what was asked",
    FindingKind.DOUBLE_SLOPE: "sound first dies away fast, then slowly: another space rings on",
    FindingKind.NOISE: "the background noise is louder than what was asked",
    FindingKind.RATTLE: "something loose rattles while a sweep plays",
}
"""What is heard, kind by kind."""


def finding_meanings() -> tuple[tuple[str, str], ...]:
    """Name every kind of finding with what is heard."""
    return tuple((kind.value, MEANINGS[kind]) for kind in FindingKind)
