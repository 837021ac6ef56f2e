r"""What chance alone does to the numbers of one position.

Closed forms of our own, checked by their coverage on draws of known truth. The squared response of
a band is taken as Gaussian noise of bandwidth B under :math:`e^{-kt}`, k = 13.8/T. To first order
its decay curve in nepers then strays from its line by a stationary process of variance k/2B whose
correlation falls as :math:`e^{-k|\tau|}`.
"""

from __future__ import annotations

import math

from roomcheck.analyse.decay.clarity import Early

NEPERS = 6 * math.log(10)
"""k T: energy falls by 60 dB. [1]"""


def fit_sd(range_db: float) -> float:
    r"""Relative standard deviation of a decay time fitted over so many decibels, times the root of
    B T. [1]

    Least squares over L nepers of the process above, a = L/2, gives :math:`\sqrt{k
    T/2}\,(12/L^3)\sqrt{I}` with :math:`I = 4a^3/3 + 2(1-a^2) - 2(1+a)^2e^{-2a}`. Over 20 and 30 dB
    that is the 0.88 and 0.55 of ISO 3382-2, Annex A.

    >>> round(fit_sd(20), 2), round(fit_sd(30), 2), round(fit_sd(10), 2)
    (0.88, 0.55, 1.75)
    """
    L = range_db * math.log(10) / 10
    a = L / 2
    I = 4 * a**3 / 3 + 2 * (1 - a**2) - 2 * (1 + a) ** 2 * math.exp(-2 * a)  # noqa: E741
    return math.sqrt(NEPERS / 2) * 12 / L**3 * math.sqrt(I)


def edt_sd_s(edt_s: float, bandwidth_hz: float) -> float:
    """Standard deviation of one position's EDT: `fit_sd` over 10 dB. [s]"""
    return fit_sd(10.0) * edt_s / math.sqrt(bandwidth_hz * edt_s)


def clarity_sd(early: Early, ts_s: float, bandwidth_hz: float) -> dict[str, float]:
    r"""Standard deviations that chance alone gives to one position's clarity, definition and centre
    time.

    Energy of Gaussian noise in a band B that decays as exp(-k t) has, over a stretch, the variance
    of its mean square summed over B independent values a second. With k = 1/Ts and D the early
    share that gives :math:`s(C) = \frac{10}{\ln 10}\sqrt{1/(T_s B D)}`, :math:`s(D) =
    D(1-D)\sqrt{1/(T_s B D)}` and :math:`s(T_s) = \frac12\sqrt{T_s/B}`. A strong direct sound, which
    is not left to chance, makes them too large.

    Parameters
    ----------
    early : Early
    ts_s : float
        [s]
    bandwidth_hz : float
        [Hz]

    Returns
    -------
    dict
        By the names of `BandDecay`.
    """
    ts_s = max(ts_s, 1 / bandwidth_hz)
    d80 = 1 / (1 + 10 ** (-early.c80_db / 10))
    root50, root80 = (math.sqrt(1 / (ts_s * bandwidth_hz * share)) for share in (early.d50, d80))
    return {
        "c50_sd_db": 10 / math.log(10) * root50,
        "c80_sd_db": 10 / math.log(10) * root80,
        "d50_sd": early.d50 * (1 - early.d50) * root50,
        "ts_sd_s": math.sqrt(ts_s / bandwidth_hz) / 2,
    }
