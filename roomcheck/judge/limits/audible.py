"""What is just heard, and from which note on."""

from __future__ import annotations

JND_DECAY = 0.05
"""Just noticeable change of a decay as a share of it: ISO 3382-1:2009, Table A.1 says it of EDT;
here it is extended to T20. [1]"""

JND_DB = 1.0
"""Just noticeable change of clarity: ISO 3382-1:2009, Table A.1 says it of C80; here it is extended
to C50 and to levels of single notes and echoes. [dB]"""

BASS_RATIO, BASS_RATIO_SMALL, SMALL_M3 = 1.5, 1.3, 100.0
"""T(125 Hz) / T(500 Hz) above which a room is called boomy; the second in rooms up to 100 m3
(common practice)."""

VOICE_FROM_HZ, MUSIC_FROM_HZ = 80.0, 20.0
"""Deep men's voices begin about 80 Hz; music and films go down to what one hears (common practice).
[Hz]"""

MUSIC_USES = frozenset(
    (
        "control room",
        "critical listening room",
        "home cinema",
        "amplified rehearsal room",
        "acoustic rehearsal room",
        "music classroom",
        "music practice room",
        "ensemble room",
        "music room DIN A1",
    )
)
"""Uses of `standards.USES` for music or films; every other is for speech."""


def lowest_heard_hz(use: str) -> float:
    """Return the lowest note that counts in a room of this use. [Hz]

    >>> lowest_heard_hz("classroom"), lowest_heard_hz("control room")
    (80.0, 20.0)
    """
    return MUSIC_FROM_HZ if use in MUSIC_USES else VOICE_FROM_HZ
