"""From which note on a fault is heard in a room of some use."""

from __future__ import annotations

VOICE_FROM_HZ, MUSIC_FROM_HZ = 80.0, 20.0
"""Deep men's voices begin about 80 Hz; music and films go down to what one hears (common practice).
[Hz]"""

MUSIC = ("control", "listening", "cinema", "music", "rehearsal", "ensemble")


def lowest_heard_hz(use: str) -> float:
    """The lowest note that counts in a room of this use. [Hz]

    >>> lowest_heard_hz("classroom"), lowest_heard_hz("control room")
    (80.0, 20.0)
    """
    return MUSIC_FROM_HZ if any(word in use.casefold() for word in MUSIC) else VOICE_FROM_HZ
