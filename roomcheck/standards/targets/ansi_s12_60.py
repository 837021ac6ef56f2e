"""Classrooms: ANSI/ASA S12.60-2010, Part 1, as quoted by an engineering firm and in two further
pages."""

from __future__ import annotations

from roomcheck.standards.errors import OutsideScope
from roomcheck.standards.target import CLEAR_SPEECH_DB, BandLimit, Target

DOCUMENT = "ANSI/ASA S12.60-2010, Part 1"
SMALL_M3, LARGE_M3 = 283.0, 566.0
"""10 000 and 20 000 cubic feet. [m3]"""

NOISE_DBA = 35.0
"""Highest one-hour average of the background noise in a core learning space up to 566 m3.
[dB(A)]"""

BANDS_HZ = (500.0, 1000.0, 2000.0)
"""From memory."""


def highest_s(volume_m3: float) -> float:
    """Longest decay of a core learning space, furnished and without people. [s]

    Raises
    ------
    OutsideScope
        Above 566 m3, where the document limits noise alone.

    >>> highest_s(200), highest_s(283), highest_s(400)
    (0.6, 0.6, 0.7)
    """
    if volume_m3 > LARGE_M3:
        raise OutsideScope(document=DOCUMENT, volume_m3=volume_m3, low_m3=0, high_m3=LARGE_M3)
    return 0.6 if volume_m3 <= SMALL_M3 else 0.7


def classroom(key: str, title: str, volume_m3: float) -> Target:
    high = highest_s(volume_m3)
    return Target(
        key=key,
        title=title,
        source=f"{DOCUMENT}, core learning spaces, as quoted by an engineering firm",
        mark="verified",
        limits=tuple(BandLimit(band_hz=hz, low_s=None, high_s=high) for hz in BANDS_HZ),
        mid_bands_hz=BANDS_HZ,
        mid_low_s=None,
        mid_nominal_s=high,
        mid_high_s=high,
        occupied=False,
        c50_db=CLEAR_SPEECH_DB,
        notes=(
            "Furnished, without people.",
            "Background noise at most 35 dB(A), averaged over the loudest hour.",
            "roomcheck holds the limit against each of the 500, 1000 and 2000 Hz octaves.",
        ),
    )
