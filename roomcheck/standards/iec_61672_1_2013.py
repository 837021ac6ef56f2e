r"""The A-weighting of sound level meters, as the standard's own formula.

References
----------
IEC 61672-1:2013, 5.5.7 and Annex E: the pole frequencies, from memory; they give the weightings of
its Table 3 to a tenth of a decibel.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

POLES_HZ = (20.598997, 107.65265, 737.86223, 12194.217)
"""f1 to f4. [Hz]"""


def a_weighting_db(frequency_hz: ArrayLike) -> NDArray[np.float64]:
    r"""How much a tone of each frequency counts, against one of 1000 Hz.

    Parameters
    ----------
    frequency_hz : (...)
        Above 0. [Hz]

    Returns
    -------
    (...) float64
        :math:`20\lg\frac{f_4^2 f^4}{(f^2+f_1^2)\sqrt{(f^2+f_2^2)(f^2+f_3^2)}\,(f^2+f_4^2)}`, less
        its value at 1000 Hz. [dB]

    Examples
    --------
    >>> [round(float(a), 1) for a in a_weighting_db([63.0957, 1000, 3981.07])]
    [-26.2, 0.0, 1.0]
    """
    return 20 * np.log10(
        _gain(np.asarray(frequency_hz, dtype=np.float64)) / _gain(np.array(1000.0))
    )


def _gain(f: NDArray[np.float64]) -> NDArray[np.float64]:
    f1, f2, f3, f4 = POLES_HZ
    gain: NDArray[np.float64] = (
        f4**2 * f**4 / ((f**2 + f1**2) * np.sqrt((f**2 + f2**2) * (f**2 + f3**2)) * (f**2 + f4**2))
    )
    return gain
