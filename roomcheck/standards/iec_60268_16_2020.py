"""Speech transmission index after IEC 60268-16:2020, as quoted in an open library.

Level-dependent masking and the reception threshold are left out: without calibrated levels they
can't be known. What stands here is the index of a room and a signal-to-noise ratio.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from statistics import fmean

from roomcheck.facts import Kind

BANDS_HZ = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)
WEIGHTS = (0.085, 0.127, 0.230, 0.233, 0.309, 0.224, 0.173)
REDUNDANCY = (0.085, 0.078, 0.065, 0.011, 0.047, 0.095)
"""alpha of each octave, and beta between neighbours. [1]"""

MODULATIONS_HZ = (0.63, 0.8, 1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0, 12.5)


class Rating(Kind):
    """How well speech is understood."""

    BAD = "bad"
    POOR = "poor"
    FAIR = "fair"
    GOOD = "good"
    EXCELLENT = "excellent"


RATINGS = (
    (0.30, Rating.BAD),
    (0.45, Rating.POOR),
    (0.60, Rating.FAIR),
    (0.75, Rating.GOOD),
    (math.inf, Rating.EXCELLENT),
)
"""Upper end of each rating, as a meter's manual has them. [1]"""


def modulation_transfer(modulation_hz: float, t_s: float, snr_db: float = math.inf) -> float:
    r"""How much of a modulation an exponential decay and steady noise leave.

    Parameters
    ----------
    modulation_hz : float
        [Hz]
    t_s : float
        Reverberation time. [s]
    snr_db : float
        Speech above noise in the band. [dB]

    Returns
    -------
    float
        :math:`m = [1 + (2 \pi F T / 13.8155)^2]^{-1/2}\,[1 + 10^{-SNR/10}]^{-1}`. [1]

    >>> round(modulation_transfer(2.0, 1.0), 4)
    0.7398
    """
    return (
        1
        / math.hypot(1, 2 * math.pi * modulation_hz * t_s / (6 * math.log(10)))
        / (1 + math.pow(10, -snr_db / 10))
    )


def transmission_index(m: float) -> float:
    """From a modulation transfer to 0 … 1; the apparent ratio is limited to 15 dB either way, as
    the document says.

    >>> transmission_index(0.5), transmission_index(1.0), transmission_index(0.0)
    (0.5, 1.0, 0.0)
    """
    if m <= 0 or m >= 1:
        return float(m >= 1)
    return (min(max(10 * math.log10(m / (1 - m)), -15.0), 15.0) + 15) / 30


def sti(transfers: Sequence[Sequence[float]]) -> float:
    """Index from a modulation transfer for each octave and modulation.

    Parameters
    ----------
    transfers : (7, 14)
        Octaves 125 Hz to 8 kHz, modulations 0.63 to 12.5 Hz. [1]

    Raises
    ------
    ValueError
        Another shape.
    """
    if len(transfers) != len(BANDS_HZ) or any(len(row) != len(MODULATIONS_HZ) for row in transfers):
        raise ValueError(
            f"transfers must be 7 octaves of 14 modulations, not {[len(row) for row in transfers]}"
        )
    mti = [fmean(transmission_index(m) for m in row) for row in transfers]
    gained = sum(a * index for a, index in zip(WEIGHTS, mti, strict=True))
    shared = sum(
        b * math.sqrt(low * high) for b, (low, high) in zip(REDUNDANCY, pairwise(mti), strict=True)
    )
    return min(gained - shared, 1.0)


def sti_of_room(t_s: Sequence[float], snr_db: Sequence[float] | None = None) -> float:
    """Index of a room far from the talker, all of whose decays are straight.

    Parameters
    ----------
    t_s : (7,)
        Reverberation time of the octaves 125 Hz to 8 kHz. [s]
    snr_db : (7,) or None
        Speech above noise; None without noise. [dB]

    >>> round(sti_of_room([1.0] * 7), 3)
    0.588
    """
    snr = [math.inf] * len(BANDS_HZ) if snr_db is None else list(snr_db)
    return sti(
        [
            [modulation_transfer(F, t, s) for F in MODULATIONS_HZ]
            for t, s in zip(t_s, snr, strict=True)
        ]
    )


def rating(index: float) -> Rating:
    """The rating that goes with an index.

    >>> [str(rating(index)) for index in (0.44, 0.45, 0.75)]
    ['poor', 'fair', 'excellent']
    """
    return next(word for end, word in RATINGS if index < end)
