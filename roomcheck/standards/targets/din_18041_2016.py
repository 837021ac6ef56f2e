"""Acoustic quality in rooms: DIN 18041:2016-03, group A.

Formulas and volume ranges as quoted in a building-physics brochure; the tolerance was read back
from the printed output of an open implementation.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from roomcheck.standards.errors import OutsideScope
from roomcheck.standards.target import CLEAR_SPEECH_DB, BandLimit, Target
from roomcheck.units import MID_BANDS_HZ

DOCUMENT = "DIN 18041:2016-03"

TOLERANCE = {
    63.0: (0.50, 1.70),
    125.0: (0.65, 1.45),
    250.0: (0.80, 1.20),
    500.0: (0.80, 1.20),
    1000.0: (0.80, 1.20),
    2000.0: (0.80, 1.20),
    4000.0: (0.65, 1.20),
    8000.0: (0.50, 1.20),
}
"""Lowest and highest T / T_soll an octave. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """One kind of use: T_soll = slope lg(V / m3) + offset, for low_m3 <= V < high_m3."""

    name: str
    slope_s: float
    offset_s: float
    low_m3: float
    high_m3: float


GROUPS = {
    "A1": Group(name="music", slope_s=0.45, offset_s=0.07, low_m3=30, high_m3=1000),
    "A2": Group(name="speech, lecture", slope_s=0.37, offset_s=-0.14, low_m3=50, high_m3=5000),
    "A3": Group(
        name="teaching, communication", slope_s=0.32, offset_s=-0.17, low_m3=30, high_m3=5000
    ),
    "A4": Group(
        name="teaching, communication, inclusive",
        slope_s=0.26,
        offset_s=-0.14,
        low_m3=30,
        high_m3=500,
    ),
    "A5": Group(name="sport", slope_s=0.75, offset_s=-1.00, low_m3=200, high_m3=10_000),
}
SPORT_LARGE_S = 2.0
"""A5 from 10 000 m3. [s]"""


_IN_USE = (
    "The limits mean the room in use, about 80 % of its places taken; measured empty it reads "
    "longer."
)


def nominal_s(group: str, volume_m3: float) -> float:
    """T_soll of one group.

    Parameters
    ----------
    group : str
        "A1" to "A5".
    volume_m3 : float
        [m3]

    Returns
    -------
    float
        Not rounded; the document prints it to 0.01 s. [s]

    Raises
    ------
    OutsideScope
        The group has no value for a room of that size.

    >>> round(nominal_s("A3", 180), 4)
    0.5517
    """
    g = GROUPS[group]
    if group == "A5" and volume_m3 >= g.high_m3:
        return SPORT_LARGE_S
    if not g.low_m3 <= volume_m3 < g.high_m3:
        raise OutsideScope(
            document=f"{DOCUMENT}, group {group} ({g.name}),",
            volume_m3=volume_m3,
            low_m3=g.low_m3,
            high_m3=g.high_m3,
        )
    return g.slope_s * math.log10(volume_m3) + g.offset_s


def room(key: str, title: str, volume_m3: float, *, group: str) -> Target:
    """T_soll with its tolerance from 125 Hz to 4 kHz; sport 250 Hz to 2 kHz.

    63 Hz and 8 kHz are left out: the copies seen do not say whether the tolerance binds there. For
    sport only the flat part is used, for the same reason.
    """
    nominal = nominal_s(group, volume_m3)
    low_hz, high_hz = (250.0, 2000.0) if group == "A5" else (125.0, 4000.0)
    bands = {hz: span for hz, span in TOLERANCE.items() if low_hz <= hz <= high_hz}
    in_use = group != "A5"
    return Target(
        key=key,
        title=title,
        source=(
            f"{DOCUMENT}, group {group} ({GROUPS[group].name}), as quoted in a building-physics "
            "brochure"
        ),
        mark="verified",
        limits=tuple(
            BandLimit(band_hz=hz, low_s=lo * nominal, high_s=hi * nominal)
            for hz, (lo, hi) in bands.items()
        ),
        mid_bands_hz=MID_BANDS_HZ,
        mid_low_s=0.8 * nominal,
        mid_nominal_s=nominal,
        mid_high_s=1.2 * nominal,
        occupied=True if in_use else None,
        c50_db=CLEAR_SPEECH_DB if group in ("A2", "A3", "A4") else None,
        notes=(_IN_USE,) if in_use else (),
    )
