r"""Octave and one-third-octave bands: frequencies, edges, filters, and the limits a filter keeps.

The filters here are zero-phase and live in the frequency domain. Each is a rectangle from edge to
edge whose flanks are Gaussian integrals, so that it rings for a few periods of its bandwidth and
then not at all. They are used once, so what `band_gain` returns is the filter as used.

References
----------
IEC 61260-1:2014, 5.2 to 5.5 (frequencies), 5.10 and Table 1 (limits), as quoted in open filter
libraries.
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from roomcheck.units import OCTAVES_HZ

Fraction = Literal[1, 3]

G = 10**0.3
"""Octave ratio of the base-ten system."""

REFERENCE_HZ = 1000.0

THIRDS_HZ = (
    *(50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0, 500.0, 630.0, 800.0),
    *(1000.0, 1250.0, 1600.0, 2000.0, 2500.0, 3150.0, 4000.0, 5000.0, 6300.0, 8000.0, 10000.0),
)
"""Nominal one-third-octave mid-band frequencies used here. [Hz]"""

CLASS_1_DB = (
    (0.0, -0.4, 0.4),
    (1 / 8, -0.4, 0.5),
    (1 / 4, -0.4, 0.7),
    (3 / 8, -0.4, 1.4),
    (1 / 2, -0.4, 5.3),
    (1.0, 16.6, math.inf),
    (2.0, 40.5, math.inf),
    (3.0, 60.0, math.inf),
    (4.0, 70.0, math.inf),
)
"""Class 1: (x, least, most) relative attenuation at G^x and G^-x of an octave; outside the edges at
least 1.2. [dB]"""

FLANK = 0.105
"""Half width of a flank over the bandwidth: the Gaussian's, where it has fallen to 1/e. [1]"""

LEANING_FLANK, MOST_LEAN = 0.08, 0.40
"""Flank of a filter that leans, and the most that it may lean, over its bandwidth, and keep class
1. [1]"""


def bands_hz(fraction: int) -> tuple[float, ...]:
    """Nominal mid-band frequencies of octaves (1) or thirds (3). [Hz]"""
    if fraction not in (1, 3):
        raise ValueError(f"fraction: {fraction}, needed 1 (octaves) or 3 (one-third octaves)")
    return OCTAVES_HZ if fraction == 1 else THIRDS_HZ


def exact_hz(band_hz: float, fraction: int = 1) -> float:
    """Exact mid-band frequency of a nominal one: 1000 G^(x/b). [Hz]

    Examples
    --------
    >>> round(exact_hz(63), 4), round(exact_hz(2000), 4), round(exact_hz(315, 3), 4)
    (63.0957, 1995.2623, 316.2278)

    References
    ----------
    IEC 61260-1:2014, Formula (2), as quoted in open filter libraries.
    """
    if fraction not in (1, 3, 9):
        raise ValueError(
            f"fraction: {fraction}, needed 1 (octaves), 3 (one-third octaves) or 9 (their middles)"
        )
    return float(
        REFERENCE_HZ * G ** (round(fraction * math.log(band_hz / REFERENCE_HZ, G)) / fraction)
    )


def band_edges_hz(band_hz: float, fraction: int = 1) -> tuple[float, float]:
    """Lower and upper band-edge frequency: the exact mid-band frequency times G^-1/(2b) and
    G^1/(2b). [Hz]

    >>> [round(edge, 2) for edge in band_edges_hz(1000)]
    [707.95, 1412.54]
    """
    middle = exact_hz(band_hz, fraction)
    return middle * G ** (-0.5 / fraction), middle * G ** (0.5 / fraction)


def bandwidth_hz(band_hz: float, fraction: int = 1) -> float:
    """Upper less lower edge. [Hz]"""
    low, high = band_edges_hz(band_hz, fraction)
    return high - low


def band_gain(
    frequency_hz: ArrayLike, band_hz: float, fraction: int = 1, flank: float = FLANK
) -> NDArray[np.float64]:
    r"""Amplitude gain of a band's zero-phase filter.

    Parameters
    ----------
    frequency_hz : (...)
        [Hz]
    band_hz : float
        Nominal mid-band frequency. [Hz]
    fraction : int
        1 octave, 3 one-third octave.

    Returns
    -------
    (...) float64
        Square root of :math:`\frac12[\mathrm{erf}((f-f_1)/w)-\mathrm{erf}((f-f_2)/w)]`; half the
        power at both edges, so that the power gains of neighbouring bands add up to 1 within 0.8
        dB. [1]
    """
    from scipy.special import erfc

    low, high = band_edges_hz(band_hz, fraction)
    width = flank * (high - low)
    f = np.asarray(frequency_hz, dtype=np.float64)
    # The two flanks do not overlap, so their product is their difference without its rounding
    # error.
    return np.sqrt(0.25 * erfc((low - f) / width) * erfc((f - high) / width))


INNER, INNER_FLANK = 0.1, 0.035
"""How far inside its edges a band's inner filter passes half, and its flank, over the bandwidth: 40
dB down at the edges. [1]"""


def inner_gain(
    frequency_hz: NDArray[np.float64], band_hz: float, fraction: int = 1
) -> NDArray[np.float64]:
    """Amplitude gain of a filter that hears what lies inside a band's edges alone; of no class.

    Parameters as of `band_gain`. [1]
    """
    from scipy.special import erfc

    low, high = band_edges_hz(band_hz, fraction)
    inset, width = INNER * (high - low), INNER_FLANK * (high - low)
    above, below = (low + inset - frequency_hz) / width, (frequency_hz - high + inset) / width
    return np.sqrt(0.25 * erfc(above) * erfc(below))


def leaning_gain(
    frequency_hz: NDArray[np.float64], band_hz: float, fraction: int, lean_per_s: float
) -> NDArray[np.complex128]:
    r"""Gain of a band's filter whose ringing leans backwards in time.

    The zero-phase kernel h(t) becomes :math:`h(t)\,e^{-k t}`: it rings less after a sound and more
    before it, which is half way to the time-reversed filter that ISO 3382-2 recommends. On a decay
    with that very k its ringing dies away as fast as the decay.

    Parameters
    ----------
    frequency_hz : (bins,)
        [Hz]
    band_hz, fraction
        As of `band_gain`.
    lean_per_s : float
        k, at most `MOST_LEAN` times the bandwidth: up to there the gain keeps class 1. [1/s]

    Returns
    -------
    (bins,) complex128
    """
    from scipy import fft

    low, high = band_edges_hz(band_hz, fraction)
    width, middle, points = high - low, (low + high) / 2, 2048
    if not 0 <= lean_per_s <= MOST_LEAN * width * (1 + 1e-9):
        raise ValueError(f"lean_per_s: {lean_per_s:g}, needed 0 to {MOST_LEAN * width:g}")
    step = 4 * width / points
    offsets = (np.arange(points) - points // 2) * step
    kernel = fft.ifft(fft.ifftshift(band_gain(middle + offsets, band_hz, fraction, LEANING_FLANK)))
    t = fft.fftfreq(points, step)
    kernel *= np.where(
        np.abs(t) < 8 / width, np.exp(-lean_per_s * np.clip(t, -8 / width, 8 / width)), 0
    )
    gain = fft.fftshift(fft.fft(kernel))
    at = (frequency_hz - middle) / step + points // 2
    index = np.arange(points)
    out = np.interp(at, index, gain.real, 0, 0) + 1j * np.interp(at, index, gain.imag, 0, 0)
    return np.asarray(out, dtype=np.complex128)


def support_hz(band_hz: float, fraction: int = 1, flank: float = FLANK) -> tuple[float, float]:
    """Where a band's filter is not yet 100 dB down. [Hz]"""
    low, high = band_edges_hz(band_hz, fraction)
    beyond = 3.4 * flank * (high - low)
    return max(low - beyond, 0.0), high + beyond


def attenuation_limits_db(fraction: int = 1) -> tuple[tuple[float, float, float], ...]:
    """Class 1 limits: (frequency over mid-band frequency, least, most), lowest frequency first.
    [1], [dB], [dB]

    References
    ----------
    IEC 61260-1:2014, Table 1 and, for one-third octaves, Formula (9), as quoted in open filter
    libraries.
    """
    above = [(breakpoint_ratio(x, fraction), least, most) for x, least, most in CLASS_1_DB]
    return (*((1 / ratio, least, most) for ratio, least, most in reversed(above[1:])), *above)


def breakpoint_ratio(x: float, fraction: int = 1) -> float:
    """A limit's frequency over the mid-band frequency: G^x for octaves, Formula (9) for other
    fractions. [1]

    >>> round(breakpoint_ratio(1, 3), 5)
    1.29437
    """
    return float(1 + (G ** (0.5 / fraction) - 1) / (G**0.5 - 1) * (G**x - 1))
