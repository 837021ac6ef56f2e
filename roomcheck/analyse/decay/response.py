"""One response to the decay of every band."""

from __future__ import annotations

import math
from collections.abc import Iterator

from roomcheck.analyse.decay.bands import Band, Spectrum, reach_s
from roomcheck.analyse.decay.chance import clarity_sd, edt_sd_s
from roomcheck.analyse.decay.clarity import Early, Gates, centre_time_s
from roomcheck.analyse.decay.curve import Curve
from roomcheck.analyse.decay.decay_reasons import Words
from roomcheck.analyse.decay.filter_limited import OWN_BT, OWN_EDT_BT, room_not_filter
from roomcheck.analyse.decay.fits import Lines, curve_of, lines_of, peak_to_noise_db
from roomcheck.analyse.decay.lossy_limits import limited
from roomcheck.analyse.decay.neighbours import SUSPECT, its_own, leak
from roomcheck.analyse.decay.noise import Tail
from roomcheck.analyse.decay.onset import start
from roomcheck.analyse.results import BandDecay, no_numbers
from roomcheck.measure import ImpulseResponse
from roomcheck.standards import iso_3382_2_2008 as iso
from roomcheck.standards.iec_61260_1_2014 import MOST_LEAN, band_edges_hz, bands_hz

LEAN_BELOW_BT = 40.0
"""Where bandwidth times decay is below 40, the band is filtered once more by a filter that leans
with the decay found. [1]"""

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
    ---------- ISO 3382-1:2009, 5.3.3 (margins) and A.3.4 (start), as quoted in open analysis code;
    ISO 3382-2:2008, Annexes A and B.
    """
    bands = bands_hz(fraction)
    begun = start(ir)
    if not begun.samples.size:
        return tuple(
            no_numbers(band_hz, None, "Silence: the record holds no sound at all.")
            for band_hz in bands
        )
    spectrum = Spectrum(begun.samples, ir.rate_hz, begun.lead_s, 2 * reach_s(bands[0], fraction))
    gates = Gates(begun, ir.rate_hz, fraction)
    carried = [
        band_hz for band_hz in bands if band_edges_hz(band_hz, fraction)[1] <= ir.rate_hz / 2
    ]
    too_high = f"A rate of {ir.rate_hz} Hz does not carry this band; record at 48 kHz."
    found = [_one(spectrum, gates, band_hz, fraction) for band_hz in carried]
    beyond = [no_numbers(band_hz, None, too_high) for band_hz in bands if band_hz not in carried]
    return limited((*_apart(found, spectrum, fraction), *beyond), ir.limits, fraction)


def _apart(
    found: list[tuple[BandDecay, Curve | None]], spectrum: Spectrum, fraction: int
) -> Iterator[BandDecay]:
    """The bands, those without numbers that are their neighbour's."""
    for i, (decay, curve) in enumerate(found):
        heard = {
            other.band_hz: leak(curve, decay.band_hz, theirs, other.band_hz, fraction)
            for j in (i - 1, i + 1)
            if curve is not None and 0 <= j < len(found)
            for other, theirs in (found[j],)
            if theirs is not None
        }
        loudest = max(heard, key=lambda hz: heard[hz], default=None)
        if loudest is not None and heard[loudest] > SUSPECT:
            decay = its_own(decay, spectrum, fraction, loudest)  # noqa: PLW2901
        yield decay


def _one(
    spectrum: Spectrum, gates: Gates, band_hz: float, fraction: int
) -> tuple[BandDecay, Curve | None]:
    """A band, and its decay curve by the upright filter."""
    band = spectrum.band(band_hz, fraction)
    seconds = (band.stop - band.start) * band.dt_s
    if seconds * band.bandwidth_hz < OWN_BT:
        too_soon = (
            f"The record ends {seconds:.3f} s after the direct sound, too soon for the filter of "
            "this band; keep recording until the room is silent."
        )
        return no_numbers(band_hz, None, too_soon), None
    energy, end, curve = curve_of(band)
    range_db = peak_to_noise_db(band, energy, end)
    if end is None or curve is None or range_db < iso.EDT_RANGE_DB:
        return no_numbers(band_hz, range_db, Words.no_decay(range_db)), None
    words = Words(band.bandwidth_hz, range_db)
    lines = lines_of(curve, words)
    longest = _longest(lines)
    if longest is not None and longest * band.bandwidth_hz < (
        OWN_BT if lines[1] or lines[2] else OWN_EDT_BT
    ):
        return no_numbers(band_hz, range_db, words.filter_only(longest)), curve
    early = (
        gates.early(band_hz, fraction, curve.total, end)
        if curve.floor_db <= CLARITY_FLOOR_DB
        else None
    )
    ts_s = centre_time_s(band, end, curve.total)
    upright = lines
    if longest is not None and longest * band.bandwidth_hz < LEAN_BELOW_BT:
        words, lines, end = _leant(spectrum, band, fraction, longest, (words, lines, end))
    lines = room_not_filter(lines, upright, words)
    return _result(band, fraction, end, lines, early, ts_s, words), curve


def _longest(lines: Lines) -> float | None:
    late = [line.t60_s for line in lines[1:] if line]
    return max(late) if late else (lines[0].t60_s if lines[0] else None)


def _leant(
    spectrum: Spectrum, band: Band, fraction: int, t60_s: float, upright: tuple[Words, Lines, Tail]
) -> tuple[Words, Lines, Tail]:
    """The same band by a filter that leans with its decay; the upright one where that gives
    less."""
    lean = min(3 * math.log(10) / t60_s, MOST_LEAN * band.bandwidth_hz)
    _, end, curve = curve_of(spectrum.band(band.band_hz, fraction, lean))
    if end is None or curve is None:
        return upright
    words = Words(band.bandwidth_hz, upright[0].range_db)
    lines = lines_of(curve, words)
    lost = any(before and not after for before, after in zip(upright[1], lines, strict=True))
    return upright if lost else (words, lines, end)


def _result(
    band: Band,
    fraction: int,
    end: Tail,
    lines: Lines,
    early: Early | None,
    ts_s: float,
    words: Words,
) -> BandDecay:
    edt, t20, t30 = (line.t60_s if line else None for line in lines)
    bend = iso.curvature_pct(t20, t30) if t20 and t30 else None
    words.warn(lines[1], lines[2], bend, end)
    if early is None:
        words.no_clarity()
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
        bt=band.bandwidth_hz * late if (late := t30 or t20) else None,
        range_db=words.range_db,
        curvature_pct=bend,
        reasons=words.said,
    )
