"""What was found in the room, in words."""

from __future__ import annotations

from roomcheck.judge import FindingKind
from roomcheck.words.saying import register

register(
    {
        FindingKind.TOO_LIVE: "Too live",
        FindingKind.TOO_DEAD: "Too dead",
        FindingKind.BOOMY: "Boomy",
        FindingKind.DULL: "Dull",
        FindingKind.UNEVEN: "Uneven",
        FindingKind.RINGING_MODE: "A bass note rings",
        FindingKind.MISSING_NOTE: "A bass note is missing",
        FindingKind.BOUNDARY_DIP: "A loudspeaker and a wall cancel a note",
        FindingKind.EARLY_REFLECTION: "Early reflection",
        FindingKind.EARLY_OBJECT: "Early reflection off something in the room",
        FindingKind.HOLLOW: "Hollow: something near the direct path",
        FindingKind.SLAP: "Slap echo",
        FindingKind.FLUTTER: "Flutter",
        FindingKind.LEFT_RIGHT: "Left and right differ",
        FindingKind.UNCLEAR_SPEECH: "Unclear speech",
        FindingKind.POOR_SPEECH_INDEX: "Speech is hard to follow",
        FindingKind.DOUBLE_SLOPE: "Two decays at once",
        FindingKind.NOISE: "Noisy before anybody speaks",
        FindingKind.RATTLE: "Something buzzes",
    }
)
