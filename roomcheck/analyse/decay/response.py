"""One response to the decay of every band."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from roomcheck.analyse.band.bands import Band, Spectrum, reach_s
from roomcheck.analyse.band.kinds import Reason
from roomcheck.analyse.band.noise import Tail
from roomcheck.analyse.band.two_slopes import two_slopes
from roomcheck.analyse.decay.chance import clarity_sd, edt_sd_s
from roomcheck.analyse.decay.clarity import Early, Gates, centre_time_s
from roomcheck.analyse.decay.curve import Curve
from roomcheck.analyse.decay.filter_limited import OWN_BT, filter_alone, room_not_filter
from roomcheck.analyse.decay.fits import (
    Fits,
    curve_of,
    doubtful,
    fits_of,
    peak_to_noise_db,
    warnings_on,
)
from roomcheck.analyse.decay.lossy_limits import limited
from roomcheck.analyse.decay.neighbours import SUSPECT, against_others, its_own, leak
from roomcheck.analyse.decay.onset import start
from roomcheck.analyse.decay.results import BandDecay, no_numbers
from roomcheck.facts import Fact, fact
from roomcheck.measure import ImpulseResponse
from roomcheck.standards import iso_3382_2_2008 as iso
from roomcheck.standards.iec_61260_1_2014 import MOST_LEAN, band_edges_hz, bands_hz

LEAN_BELOW_BT = 40.0
"""Where bandwidth times decay is below 40, the band is filtered once more by a filter that leans
with the decay found. [1]"""

SUSPECT_BANDS = 2
"""Where so many bands show that something else happened, less says so in the others."""

SOON_DB = 50.0
"""What happens further below the peak spoils no number, and is asked of no other band. [dB]"""

CLARITY_FLOOR_DB = -20.0
"""The decay curve must get down to here for clarity and centre time. [dB]"""


def decays(ir: ImpulseResponse, fraction: int = 1) -> tuple[BandDecay, ...]:
    """How sound dies away in each octave from 63 Hz to 8 kHz, or each third from 50 Hz to 10 kHz.

    A number is given where the standard's margin is there: the peak of the band's squared response
    at least 20 dB (EDT, clarity), 35 dB (T20) and 45 dB (T30) above the mean square of the noise in
    the band. Where it is None a reason says what is lacking.

    Parameters
    ----------
    ir : ImpulseResponse
        One source and microphone; may begin with a lead-in.
    fraction : int
        1 octave, 3 one-third octave.

    Returns
    -------
    tuple of BandDecay
        Always all the bands. One whose upper edge lies above half the rate has no numbers and says
        so.

    Raises
    ------
    NotAResponse
        No samples, or samples that are no numbers.
    ValueError
        `fraction` is neither 1 nor 3.

    References
    ----------
    ISO 3382-1:2009, 5.3.3 (margins) and A.3.4 (start), as quoted in open analysis code;
    ISO 3382-2:2008, Annexes A and B.
    """
    bands = bands_hz(fraction)
    begun = start(ir)
    if not begun.samples.size:
        return tuple(no_numbers(band_hz, None, fact(Reason.SILENCE)) for band_hz in bands)
    begun = begun.over_peak()
    spectrum = Spectrum(begun.samples, ir.rate_hz, begun.lead_s, 2 * reach_s(bands[0], fraction))
    gates = Gates(begun, ir.rate_hz, fraction)
    too_high = fact(Reason.RATE_TOO_LOW, rate_hz=ir.rate_hz)
    carried = [hz for hz in bands if band_edges_hz(hz, fraction)[1] <= ir.rate_hz / 2]
    beyond = [no_numbers(hz, None, too_high) for hz in bands if hz not in carried]
    read = [_one(spectrum, gates, band_hz, fraction) for band_hz in carried]
    happened_s = tuple(one.disturbed_s for one in read if one.disturbed_s is not None)
    if len(happened_s) >= SUSPECT_BANDS:
        read = [
            _one(spectrum, gates, hz, fraction, happened_s) if one.disturbed_s is None else one
            for one, hz in zip(read, carried, strict=True)
        ]
    bands_read = against_others(tuple(_apart(read, spectrum, fraction)), fraction)
    return limited((*bands_read, *beyond), ir.limits, fraction)


@dataclass(frozen=True, slots=True)
class _Read:
    """A band, its decay curve by the upright filter, and when something else ends it. [s]"""

    decay: BandDecay
    curve: Curve | None = None
    disturbed_s: float | None = None


def _apart(read: list[_Read], spectrum: Spectrum, fraction: int) -> Iterator[BandDecay]:
    """The bands; those that are their neighbour's without numbers."""
    for i, one in enumerate(read):
        decay, leaks = one.decay, dict[float, float]()
        for other in (*read[max(i - 1, 0) : i], *read[i + 1 : i + 2]):
            if one.curve is not None and other.curve is not None:
                other_hz = other.decay.band_hz
                leaks[other_hz] = leak(one.curve, decay.band_hz, other.curve, other_hz, fraction)
        loudest_hz = max(leaks, key=lambda hz: leaks[hz], default=None)
        if loudest_hz is not None and leaks[loudest_hz] > SUSPECT:
            yield its_own(decay, spectrum, fraction, loudest_hz)
        else:
            yield decay


def _one(
    spectrum: Spectrum,
    gates: Gates,
    band_hz: float,
    fraction: int,
    suspected_s: tuple[float, ...] = (),
) -> _Read:
    band = spectrum.band(band_hz, fraction)
    seconds = (band.stop - band.start) * band.dt_s
    if seconds * band.bandwidth_hz < OWN_BT:
        too_soon = fact(Reason.RECORD_TOO_SHORT, length_s=seconds)
        return _Read(no_numbers(band_hz, None, too_soon))
    energy, end, curve = curve_of(band, suspected_s=suspected_s)
    range_db = peak_to_noise_db(band, energy, end)
    if end is None or curve is None or range_db < iso.EDT_RANGE_DB:
        return _Read(no_numbers(band_hz, range_db, _no_decay(range_db, end)))
    disturbed_s = end.disturbed["at_s"] if end.disturbed and range_db < SOON_DB else None
    asked = end.sinks or doubtful(curve, band.bandwidth_hz)
    slopes = two_slopes(band, energy, end) if asked else None
    upright = fits_of(curve, band.bandwidth_hz, range_db, end.disturbed, slopes)
    longest_s = upright.longest_s
    if longest_s is not None and filter_alone(curve, upright):
        bt = longest_s * band.bandwidth_hz
        too_short = fact(Reason.FILTER_ALONE, decay_s=longest_s, bt=bt)
        return _Read(no_numbers(band_hz, range_db, too_short), curve, disturbed_s)
    early = None
    if curve.floor_db <= CLARITY_FLOOR_DB:
        early = gates.early(band_hz, fraction, curve.total, end)
    ts_s = centre_time_s(band, end, curve.total)
    fits = upright
    if longest_s is not None and longest_s * band.bandwidth_hz < LEAN_BELOW_BT:
        fits, end = _leant(spectrum, band, fraction, longest_s, (upright, end))
    fits = room_not_filter(fits, upright)
    return _Read(_result(band, fraction, end, fits, early, ts_s), curve, disturbed_s)


def _no_decay(range_db: float, end: Tail | None) -> Fact[Reason]:
    if end is not None and end.disturbed is not None:
        return fact(Reason.DISTURBED, **dict(end.disturbed.values))
    if range_db >= iso.EDT_RANGE_DB:
        return fact(Reason.NO_DECAY)
    return fact(
        Reason.NO_RANGE,
        range_db=range_db,
        edt_needs_db=iso.EDT_RANGE_DB,
        t20_needs_db=iso.T20_RANGE_DB,
        t30_needs_db=iso.T30_RANGE_DB,
        lacking_db=iso.T20_RANGE_DB - range_db,
    )


def _leant(
    spectrum: Spectrum, band: Band, fraction: int, t60_s: float, upright: tuple[Fits, Tail]
) -> tuple[Fits, Tail]:
    """The same band by a filter that leans with its decay; the upright one where that gives
    less."""
    lean_per_s = min(3 * math.log(10) / t60_s, MOST_LEAN * band.bandwidth_hz)
    _, end, curve = curve_of(spectrum.band(band.band_hz, fraction, lean_per_s))
    if end is None or curve is None:
        return upright
    leant = fits_of(curve, band.bandwidth_hz, upright[0].range_db, end.disturbed)
    return upright if leant.lacks_what(upright[0]) else (leant, end)


def _result(
    band: Band, fraction: int, end: Tail, fits: Fits, early: Early | None, ts_s: float
) -> BandDecay:
    edt, t20, t30 = (line.t60_s if line else None for line in (fits.edt, fits.t20, fits.t30))
    bend = iso.curvature_pct(t20, t30) if t20 and t30 else None
    no_clarity = () if early else (fact(Reason.NO_LATE_ENERGY),)
    return BandDecay(
        band_hz=band.band_hz,
        edt_s=edt,
        t20_s=t20,
        t30_s=t30,
        t20_sd_s=iso.t20_sd_s(t20, band.band_hz, fraction) if t20 else None,
        t30_sd_s=iso.t30_sd_s(t30, band.band_hz, fraction) if t30 else None,
        c50_db=early.c50_db if early else None,
        c80_db=early.c80_db if early else None,
        d50=early.d50 if early else None,
        ts_s=ts_s if early else None,
        **(clarity_sd(early, ts_s, band.bandwidth_hz) if early else {}),
        edt_sd_s=edt_sd_s(edt, band.bandwidth_hz) if edt else None,
        two_slopes=fits.slopes,
        bt=fits.bt(fits.late) if fits.late else None,
        range_db=fits.range_db,
        curvature_pct=bend,
        withheld=(*fits.withheld, *no_clarity),
        warnings=warnings_on(fits, bend, end),
    )
