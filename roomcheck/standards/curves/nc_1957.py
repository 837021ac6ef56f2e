"""Noise criterion curves NC-15 to NC-40, octaves 63 Hz to 8 kHz.

The curves as they stand alike in three open sources (the trade's NC curves of 1957, carried on by
ANSI/ASA S12.2). A spectrum has the NC of the highest curve that any of its octaves reaches,
straight between curves.
"""

from __future__ import annotations

from functools import partial
from itertools import pairwise

from roomcheck.standards.curves.noise_curves import NoiseRating, check_levels

BANDS_HZ = (63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)

CURVES = {
    15: (47, 36, 29, 22, 17, 14, 12, 11),
    20: (51, 40, 33, 26, 22, 19, 17, 16),
    25: (54, 44, 37, 31, 27, 24, 22, 21),
    30: (57, 48, 41, 35, 31, 29, 28, 27),
    35: (60, 52, 45, 40, 36, 34, 33, 32),
    40: (64, 56, 50, 45, 41, 39, 38, 37),
}
"""Levels of each curve. [dB re 20 uPa]"""


def nc(levels_db: dict[float, float]) -> NoiseRating:
    """NC of a noise spectrum.

    Parameters
    ----------
    levels_db : dict of float
        Octave level by nominal mid-band frequency; octaves that were not measured are left out.
        [dB]

    Returns
    -------
    NoiseRating
        No value below NC-15 or above NC-40, where the curves seen end.

    Raises
    ------
    ValueError
        No octave, or one that the curves do not have.

    >>> str(nc({125: 48, 250: 41, 500: 35, 1000: 31}))
    'NC 30'
    """
    check_levels(levels_db, BANDS_HZ)
    places = {}
    for hz, level_db in levels_db.items():
        band = BANDS_HZ.index(hz)
        places[hz] = _place(level_db, [curve[band] for curve in CURVES.values()])
    band_hz = max(places, key=lambda hz: (places[hz], -hz))
    place, names = places[band_hz], list(CURVES)
    beyond = partial(NoiseRating, family="NC", value=None, band_hz=band_hz)
    if place < 0:
        return beyond(beyond="below", end=names[0])
    if place > len(names) - 1:
        return beyond(beyond="above", end=names[-1])
    return NoiseRating(family="NC", value=names[0] + 5 * place, band_hz=band_hz)


def _place(level_db: float, steps: list[int]) -> float:
    """Between which curves a level lies, counted from the lowest; -1 below them and past the last
    above."""
    if level_db < steps[0]:
        return -1.0
    for i, (low, high) in enumerate(pairwise(steps)):
        if level_db <= high:
            return i + (level_db - low) / (high - low)
    return float(len(steps))
