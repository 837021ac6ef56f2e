"""A band that rings so long and loud beside another that the other's filter hears it.

Every filter passes some of what lies just over its edge. Where that is much of what a band holds
late in its decay, the band is measured once more well inside its edges. If that dies away sooner,
the band's numbers are the neighbour's; where it does not, as in a band whose own lower end rings
longest because air takes the upper, they are its own.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from roomcheck.analyse.band.bands import Spectrum
from roomcheck.analyse.band.kinds import DecayWarning, Reason
from roomcheck.analyse.decay.curve import Curve
from roomcheck.analyse.decay.fits import curve_of, fits_of, peak_to_noise_db
from roomcheck.analyse.decay.results import BandDecay, no_numbers
from roomcheck.facts import fact
from roomcheck.standards.iec_61260_1_2014 import FLANK, bandwidth_hz

SUSPECT = 0.15
"""Share of late energy leaking from a neighbour above which a band is suspect. [1]"""

WARNED, WITHHELD, SURE_SD = 0.15, 0.3, 2.0
"""How much longer, in logarithm, T of the whole band may be than T of its inside before a warning,
and before nothing is given. Less than 2 deviations of chance is neither. [1]"""

MANY_HZ, BROKEN_SHARE = 500.0, 0.6
"""Bands wider than this have many samples; and the share of them that shows that a record is no
decay. [Hz], [1]"""

BENT = (DecayWarning.NOT_STRAIGHT, DecayWarning.BENDS, DecayWarning.TWO_SLOPES)
"""What is said of a decay that is not straight."""

AT_DB = -20.0
"""Level on the decay curve at which leakage is evaluated. [dB]"""


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


def against_others(bands: tuple[BandDecay, ...], fraction: int) -> tuple[BandDecay, ...]:
    """Withhold crooked decays of narrow bands where most of the wide ones show no decay.

    What disturbs a record is seldom in one band alone, and few samples show it last.
    """
    many = [band for band in bands if bandwidth_hz(band.band_hz, fraction) >= MANY_HZ]
    broken = sum(_broken(band) for band in many)
    if broken < 2 or broken < BROKEN_SHARE * len(many):
        return bands
    return tuple(_withheld_if_bent(band) for band in bands)


def _broken(band: BandDecay) -> bool:
    kinds = (Reason.DISTURBED, Reason.NOT_A_LINE)
    return any(why.kind in kinds and why.get("number", "T20") == "T20" for why in band.withheld)


def _withheld_if_bent(band: BandDecay) -> BandDecay:
    bent = any(fact.kind in BENT for fact in band.warnings)
    if not bent or (band.t20_s is None and band.t30_s is None):
        return band
    return replace(
        band,
        t20_s=None,
        t30_s=None,
        t20_sd_s=None,
        t30_sd_s=None,
        curvature_pct=None,
        two_slopes=None,
        withheld=(*band.withheld, fact(Reason.OTHERS_BROKEN)),
    )


def its_own(decay: BandDecay, spectrum: Spectrum, fraction: int, neighbour_hz: float) -> BandDecay:
    """The band as it is; where its inside dies away sooner with a warning, or without numbers.

    Parameters
    ----------
    decay : BandDecay
        With a T20 or a T30.
    spectrum : Spectrum
    fraction : int
    neighbour_hz : float
        The band that may have leaked into it. [Hz]
    """
    band = spectrum.inside(decay.band_hz, fraction)
    energy, end, curve = curve_of(band)
    if curve is None:
        return decay
    fits = fits_of(curve, band.bandwidth_hz, peak_to_noise_db(band, energy, end))
    both = ((decay.t20_s, fits.t20), (decay.t30_s, fits.t30))
    pairs = [(whole_s, line.t60_s) for whole_s, line in both if whole_s and line]
    if not pairs:
        return decay
    # What leaks in can only make the whole longer.
    whole, middle = max(pairs, key=lambda pair: pair[0] / pair[1])
    apart = math.log(whole / middle)
    chance = 0.88 * math.sqrt(1 / (band.bandwidth_hz * middle))
    if apart < max(WARNED, SURE_SD * chance):
        return decay
    found = {"neighbour_hz": neighbour_hz, "whole_s": whole, "middle_s": middle}
    if apart < max(WITHHELD, SURE_SD * chance):
        warning = fact(DecayWarning.NEIGHBOUR, **found)
        return replace(decay, warnings=(*decay.warnings, warning))
    return no_numbers(decay.band_hz, decay.range_db, fact(Reason.NEIGHBOUR, **found))
