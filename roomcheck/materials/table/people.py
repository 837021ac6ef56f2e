"""The same room with and without people: what they take, and how sure that is.

Some documents mean the room in use (DIN 18041), others the empty one (ANSI/ASA S12.60, most
promises). The step between the two is Sabine's: each person adds an equivalent area. Books differ
by what people wear and how close they sit; `SPREAD` holds that.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from roomcheck.materials.table.handbooks import absorption_of

SEATED, STANDING = "person seated", "person standing"

SPREAD = 0.25
"""Relative standard uncertainty of a person's area: seated on hard chairs, handbooks stand between
0.3 and 0.5 m2 at 1 kHz for winter and summer clothes, and closely packed rows take less a head
(common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CarriedDecay:
    """A decay carried from one number of people to another."""

    decay_s: float
    """With the other number of people [s]."""
    step_u_s: float
    """Standard uncertainty that the step adds [s]."""
    added_m2: float
    """Equivalent area of the people who come in (below 0: who leave) [m2]."""


def person_m2(band_hz: float, *, seated: bool = True) -> float | None:
    """Equivalent area of one person in an octave; None where no book says. [m2]

    >>> person_m2(1000)
    0.45
    """
    return absorption_of(SEATED if seated else STANDING).at(band_hz)


def with_people(
    decay_s: float,
    band_hz: float,
    more: int,
    volume_m3: float,
    speed_m_s: float = 343.2,
    *,
    seated: bool = True,
) -> CarriedDecay | None:
    r"""The decay once so many people more are in the room.

    Parameters
    ----------
    decay_s : float
        With the people who are there now. [s]
    band_hz : float
        Octave, 125 Hz to 4 kHz. [Hz]
    more : int
        People who come in; below 0 they leave.
    volume_m3, speed_m_s : float
        [m3], [m/s]
    seated : bool

    Returns
    -------
    Step or None
        :math:`1/T' = 1/T + n A_p c / (24 \ln 10 \, V)`; None where no book gives a person's area in
        that octave, or where so many people cannot have been in so dead a room.
    """
    each = person_m2(band_hz, seated=seated)
    if each is None:
        return None
    per_m2 = speed_m_s / (24 * math.log(10) * volume_m3)
    rate = 1 / decay_s + more * each * per_m2
    if rate <= 0:
        return None
    return CarriedDecay(
        decay_s=1 / rate,
        step_u_s=SPREAD * abs(more) * each * per_m2 / rate**2,
        added_m2=more * each,
    )
