"""The closed lists that a verdict is made of."""

from __future__ import annotations

from roomcheck.facts import Kind


class FindingKind(Kind):
    """What a client would hear."""

    TOO_LIVE = "too live"
    TOO_DEAD = "too dead"
    BOOMY = "boomy"
    DULL = "dull"
    UNEVEN = "uneven"
    RINGING_MODE = "ringing mode"
    MISSING_NOTE = "missing note"
    BOUNDARY_DIP = "boundary dip"
    EARLY_REFLECTION = "early reflection"
    EARLY_OBJECT = "early reflection off an object"
    HOLLOW = "hollow"
    SLAP = "slap"
    FLUTTER = "flutter"
    LEFT_RIGHT = "left and right differ"
    UNCLEAR_SPEECH = "unclear speech"
    POOR_SPEECH_INDEX = "poor speech index"
    DOUBLE_SLOPE = "double slope"
    NOISE = "noise"
    RATTLE = "rattle"


BASS_FINDINGS = (FindingKind.BOOMY, FindingKind.RINGING_MODE)
"""Faults that absorption in the corners cures first."""
