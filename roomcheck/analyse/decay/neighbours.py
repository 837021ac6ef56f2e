"""A band that rings so long and loud beside another that the other's filter hears it.

Every filter passes some of what lies just over its edge. Where that is much of what a band holds
late in its decay, the band is measured once more in its middle alone, a third as wide. If the
middle dies away at another rate, the band's numbers are the neighbour's.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from roomcheck.analyse.decay.bands import Spectrum
from roomcheck.analyse.decay.curve import Curve
from roomcheck.analyse.decay.decay_reasons import Words
from roomcheck.analyse.decay.fits import curve_of, lines_of, peak_to_noise_db
from roomcheck.analyse.results import BandDecay, no_numbers
from roomcheck.standards.iec_61260_1_2014 import FLANK, bandwidth_hz
from roomcheck.units import band_name

SUSPECT = 0.15
"""So much of a band's late energy from over its edge makes it suspect. [1]"""

SAID, WITHHELD, SURE_SD = 0.15, 0.3, 2.0
"""How far apart, in logarithm, T of the middle and of the whole band may be before it is said, and
before nothing is given: air alone makes 20 % between the ends of the 8 kHz octave. Less than 2
deviations of chance is neither. [1]"""

AT_DB = -20.0
"""Where in the band's decay that is looked at: the middle of the fits. [dB]"""


def leak(own: Curve, own_hz: float, other: Curve, other_hz: float, fraction: int) -> float:
    r"""How much of what a band holds late in its decay its neighbour can have put there. [1]

    A neighbour of even spectrum puts :math:`w/(2\sqrt\pi B)` of its energy over the common edge, w
    the half width of this band's flank and B the neighbour's width.
    """
    reached = np.flatnonzero(own.db <= AT_DB)
    if not reached.size:
        return 0.0
    at = float(own.t_s[reached[0]])
    share = (
        FLANK
        * bandwidth_hz(own_hz, fraction)
        / (2 * math.sqrt(math.pi) * bandwidth_hz(other_hz, fraction))
    )
    theirs = other.total * 10 ** (float(np.interp(at, other.t_s, other.db)) / 10)
    return share * theirs / (own.total * 10 ** (AT_DB / 10))


def its_own(decay: BandDecay, spectrum: Spectrum, fraction: int, neighbour_hz: float) -> BandDecay:
    """The band as it is; where its middle dies away at another rate with a warning, or without
    numbers.

    Parameters
    ----------
    decay : BandDecay
        With a T20 or a T30.
    spectrum : Spectrum
    fraction : int
    neighbour_hz : float
        The band that may have leaked into it. [Hz]
    """
    band = spectrum.band(decay.band_hz, 3 * fraction)
    energy, end, curve = curve_of(band)
    words = Words(band.bandwidth_hz, peak_to_noise_db(band, energy, end))
    _, t20, t30 = lines_of(curve, words) if curve else (None, None, None)
    pairs = [(a, b.t60_s) for a, b in ((decay.t20_s, t20), (decay.t30_s, t30)) if a and b]
    if not pairs:
        return decay
    whole, middle = max(pairs, key=lambda pair: abs(math.log(pair[1] / pair[0])))
    apart = abs(math.log(middle / whole))
    chance = 0.88 * math.sqrt(1 / (band.bandwidth_hz * min(middle, whole)))
    if apart < max(SAID, SURE_SD * chance):
        return decay
    said = (
        f"{band_name(neighbour_hz)} rings so long and loud that this band's filter hears it: the "
        f"whole band dies away in {whole:.2f} s, its middle alone in {middle:.2f} s."
    )
    if apart < max(WITHHELD, SURE_SD * chance):
        return replace(decay, reasons=(*decay.reasons, said))
    remedy = "No filter of class 1 parts them; treat the neighbouring band first and measure again."
    return no_numbers(decay.band_hz, decay.range_db, f"{said} {remedy}")
