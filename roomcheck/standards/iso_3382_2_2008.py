r"""Reverberation time in ordinary rooms: how sure one is, which positions count, and which grade is
reached.

References
----------
ISO 3382-2:2008, Annex A (standard deviation), Annex B (curvature, non-linearity), Table 1 and 4.3
(positions), as quoted in open analysis code; the accuracies of the grades are from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from roomcheck.units import SPEED_OF_SOUND_M_S

EDT_RANGE_DB, T20_RANGE_DB, T30_RANGE_DB = 20.0, 35.0, 45.0
"""Peak above noise that each fit needs: ISO 3382-1, 5.3.3: its range and 15 dB (EDT: 20 dB).
[dB]"""

FORWARD_BT, REVERSED_BT, ZERO_PHASE_BT = 16.0, 4.0, 8.0
"""Least bandwidth times reverberation time for filters run forward and time-reversed (ISO 3382-2,
7.3), and, not in the standard, for zero-phase filters. [1]"""

CURVATURE_LIMIT_PCT, NON_LINEARITY_LIMIT_PERMILLE = 10.0, 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade:
    """What a measurement needs to be of a grade."""

    name: Literal["survey", "engineering", "precision"]
    sources: int
    """Least number of source positions."""
    microphones: int
    """Least number of microphone positions."""
    combinations: int
    """Least number of pairs of a source with a microphone position."""
    decays: int
    """Interrupted-noise decays in each; one integrated impulse response counts as more."""
    octave_accuracy_pct: float
    """Nominal accuracy in octave bands (from memory) [%]."""


GRADES = (
    Grade(
        name="survey", sources=1, microphones=2, combinations=2, decays=1, octave_accuracy_pct=10.0
    ),
    Grade(
        name="engineering",
        sources=2,
        microphones=2,
        combinations=6,
        decays=2,
        octave_accuracy_pct=5.0,
    ),
    Grade(
        name="precision",
        sources=2,
        microphones=3,
        combinations=12,
        decays=3,
        octave_accuracy_pct=2.5,
    ),
)
"""Worst first."""

BETWEEN_MICROPHONES_M, FROM_SURFACES_M = 2.0, 1.0
"""Half a wavelength between microphones and a quarter to the nearest surface, for the usual lowest
frequency. [m]"""


def lowest_hz(
    distance_m: float, wavelengths: float, speed_of_sound_m_s: float = SPEED_OF_SOUND_M_S
) -> float:
    """From which frequency on a distance is so many wavelengths. [Hz]

    >>> lowest_hz(2.0, 1 / 2), lowest_hz(1.0, 1 / 4)
    (85.75, 85.75)

    References
    ----------
    ISO 3382-2:2008, 4.3.1.
    """
    return wavelengths * speed_of_sound_m_s / distance_m


def t20_sd_s(
    t20_s: float, band_hz: float, fraction: int = 1, positions: int = 1, decays: int = 10
) -> float:
    r"""Standard deviation of a T20 that chance alone gives.

    Parameters
    ----------
    t20_s : float
        [s]
    band_hz : float
        Mid-band frequency. [Hz]
    fraction : int
        1 octave, 3 one-third octave.
    positions, decays : int
        Independent positions, and decays averaged in each.

    Returns
    -------
    float
        :math:`0.88\,T\sqrt{(1+1.90/n)/(N B T)}` with B = 0.71 f (octave) or 0.23 f (third). [s]

    Examples
    --------
    >>> round(t20_sd_s(1.0, 1000, decays=1), 6)
    0.056241

    References
    ----------
    ISO 3382-2:2008, Annex A.
    """
    BT = noise_bandwidth_hz(band_hz, fraction) * t20_s
    return 0.88 * t20_s * math.sqrt((1 + 1.90 / decays) / (positions * BT))


def t30_sd_s(
    t30_s: float, band_hz: float, fraction: int = 1, positions: int = 1, decays: int = 10
) -> float:
    r"""Standard deviation of a T30 that chance alone gives: :math:`0.55\,T\sqrt{(1+1.52/n)/(N B
    T)}`. [s]

    Parameters as of `t20_sd_s`.

    >>> round(t30_sd_s(1.0, 1000, decays=1), 6)
    0.032767

    References
    ----------
    ISO 3382-2:2008, Annex A.
    """
    BT = noise_bandwidth_hz(band_hz, fraction) * t30_s
    return 0.55 * t30_s * math.sqrt((1 + 1.52 / decays) / (positions * BT))


def noise_bandwidth_hz(band_hz: float, fraction: int = 1) -> float:
    """B of Annex A: 0.71 f for an octave, 0.23 f for a third. [Hz]"""
    if fraction not in (1, 3):
        raise ValueError(f"fraction: {fraction}, needed 1 (octaves) or 3 (one-third octaves)")
    return (0.71 if fraction == 1 else 0.23) * band_hz


def curvature_pct(t20_s: float, t30_s: float) -> float:
    r"""How far a decay bends between its two fits, :math:`C = 100\,(T_{30}/T_{20} - 1)`; 0 is
    straight. [%]

    >>> round(curvature_pct(0.40, 0.46), 1)
    15.0

    References
    ----------
    ISO 3382-2:2008, Annex B.
    """
    return 100 * (t30_s / t20_s - 1)


def non_linearity_permille(correlation: float) -> float:
    r"""How far a decay strays from its line, :math:`\xi = 1000\,(1 - r^2)`; 0 is straight.
    [permille]

    References
    ----------
    ISO 3382-2:2008, Annex B.
    """
    return 1000 * (1 - correlation**2)


def least_source_distance_m(
    volume_m3: float, t_s: float, speed_of_sound_m_s: float = SPEED_OF_SOUND_M_S
) -> float:
    r"""How near a microphone may stand to the source, :math:`d_\min = 2\sqrt{V/(c T)}`. [m]

    >>> round(least_source_distance_m(210, 0.6), 4)
    2.0203

    References
    ----------
    ISO 3382-2:2008, 4.3.1.
    """
    return 2 * math.sqrt(volume_m3 / (speed_of_sound_m_s * t_s))
