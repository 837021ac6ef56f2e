"""Noise rating curves NR, octaves 31.5 Hz to 8 kHz: L = a + b NR, with the constants of AS
1469:1983.

As quoted in the documentation of an open library.
"""

from __future__ import annotations

from roomcheck.standards.curves.noise_curves import NoiseRating, check_levels

CONSTANTS = {
    31.5: (55.4, 0.681),
    63.0: (35.5, 0.790),
    125.0: (22.0, 0.870),
    250.0: (12.0, 0.930),
    500.0: (4.8, 0.974),
    1000.0: (0.0, 1.000),
    2000.0: (-3.5, 1.015),
    4000.0: (-6.1, 1.025),
    8000.0: (-8.0, 1.030),
}
"""a [dB] and b [1] of each octave."""


def curve_db(nr: float, band_hz: float) -> float:
    """Level of one NR curve in one octave. [dB]

    >>> round(curve_db(25, 125), 2)
    43.75
    """
    a, b = CONSTANTS[band_hz]
    return a + b * nr


def nr(levels_db: dict[float, float]) -> NoiseRating:
    """NR of a noise spectrum: the highest (L - a) / b of its octaves.

    Parameters
    ----------
    levels_db : dict of float
        Octave level by nominal mid-band frequency; octaves that were not measured are left out.
        [dB]

    Raises
    ------
    ValueError
        No octave, or one that the curves do not have.

    >>> str(nr({500: 29.15, 1000: 20}))
    'NR 25'
    """
    check_levels(levels_db, tuple(CONSTANTS))
    at = {hz: (level - CONSTANTS[hz][0]) / CONSTANTS[hz][1] for hz, level in levels_db.items()}
    band_hz = max(at, key=lambda hz: at[hz])
    return NoiseRating(family="NR", value=at[band_hz], band_hz=band_hz)
