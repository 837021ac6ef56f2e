"""One response to the decay of every band."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.bands import Band, Spectrum, reach_s
from roomcheck.analyse.chance import clarity_sd, edt_sd_s
from roomcheck.analyse.clarity import Early, Gates, centre_time_s
from roomcheck.analyse.curve import Curve, Line, decay_curve, fit_line
from roomcheck.analyse.noise import Tail, tail
from roomcheck.analyse.onset import start
from roomcheck.analyse.results import BandDecay
from roomcheck.analyse.short import OWN_BT, OWN_EDT_BT, Lines, room_not_filter
from roomcheck.analyse.words import Words
from roomcheck.measure.signals import ImpulseResponse
from roomcheck.standards import iso_3382_2_2008 as iso
from roomcheck.standards.iec_61260_1_2014 import MOST_LEAN, band_edges_hz, bands_hz

Array = NDArray[np.float64]

LEAN_BELOW_BT = 40.0
"""Where bandwidth times decay is below 40, the band is filtered once more by a filter that leans with the decay
found. [1]"""

CLARITY_FLOOR_DB = -20.0
"""The decay curve must get down to here for clarity and centre time. [dB]"""

CLEAR_DB = 3.0
"""The decay curve itself must reach so far below a fit before it sinks into the noise; 10 dB below that of EDT, which
has no other margin. [dB]"""

CROOKED_PERMILLE = {"T20": 150.0, "T30": 100.0}
"""A stretch whose non-linearity is above this is not called a decay: two decays as far apart as those of coupled rooms
stay below 60; what few independent samples do by chance is often more, and such a stretch says little. [permille]"""


def decays(ir: ImpulseResponse, fraction: int = 1) -> tuple[BandDecay, ...]:
    """How sound dies away in each octave from 63 Hz to 8 kHz, or each third from 50 Hz to 10 kHz.

    A number is given where the standard's margin is there: the peak of the band's squared response at least 20 dB
    (EDT, clarity), 35 dB (T20) and 45 dB (T30) above the mean square of the noise in the band. Where it is None a
    reason says what is lacking.

    Parameters
    ----------
    ir : ImpulseResponse
        One source and microphone; may begin with a lead-in.
    fraction : int
        1 octave, 3 one-third octave.

    Returns
    -------
    tuple of BandDecay
        Always all the bands. One whose upper edge lies above half the rate has no numbers and says so.

    Raises
    ------
    NotAResponse
        No samples, or samples that are no numbers.
    ValueError
        `fraction` is neither 1 nor 3.

    References
    ----------
    ISO 3382-1:2009, 5.3.3 (margins) and A.3.4 (start), as quoted in open analysis code; ISO 3382-2:2008, Annexes A
    and B.
    """
    bands = bands_hz(fraction)
    begun = start(ir)
    if not begun.samples.size:
        return tuple(_nothing(band_hz, None, "Silence: the record holds no sound at all.") for band_hz in bands)
    spectrum = Spectrum(begun.samples, ir.rate_hz, begun.lead_s, 2 * reach_s(bands[0], fraction))
    gates = Gates(begun, ir.rate_hz, fraction)
    carried = [band_hz for band_hz in bands if band_edges_hz(band_hz, fraction)[1] <= ir.rate_hz / 2]
    too_high = f"A rate of {ir.rate_hz} Hz does not carry this band; record at 48 kHz."
    return tuple(
        _one(spectrum, gates, band_hz, fraction) if band_hz in carried else _nothing(band_hz, None, too_high)
        for band_hz in bands
    )


def _nothing(band_hz: float, range_db: float | None, reason: str) -> BandDecay:
    return BandDecay(
        band_hz=band_hz, edt_s=None, t20_s=None, t30_s=None, t20_sd_s=None, t30_sd_s=None, c50_db=None, c80_db=None,
        d50=None, ts_s=None, range_db=range_db, curvature_pct=None, reasons=(reason,),
    )  # fmt: skip


def _one(spectrum: Spectrum, gates: Gates, band_hz: float, fraction: int) -> BandDecay:
    band = spectrum.band(band_hz, fraction)
    seconds = (band.stop - band.start) * band.dt_s
    if seconds * band.bandwidth_hz < OWN_BT:
        return _nothing(
            band_hz,
            None,
            f"The record ends {seconds:.3f} s after the direct sound, too soon for the filter of this band; "
            "keep recording until the room is silent.",
        )
    energy, end, curve = _curve(band)
    range_db = _range_db(band, energy, end)
    if end is None or curve is None or range_db < iso.EDT_RANGE_DB:
        return _nothing(band_hz, range_db, Words.no_decay(range_db))
    words = Words(band.bandwidth_hz, range_db)
    lines = _lines(curve, words)
    longest = _longest(lines)
    if longest is not None and longest * band.bandwidth_hz < (OWN_BT if lines[1] or lines[2] else OWN_EDT_BT):
        return _nothing(band_hz, range_db, words.filter_only(longest))
    early = gates.early(band_hz, fraction, curve.total, end) if curve.floor_db <= CLARITY_FLOOR_DB else None
    ts_s = centre_time_s(band, end, curve.total)
    upright = lines
    if longest is not None and longest * band.bandwidth_hz < LEAN_BELOW_BT:
        words, lines, end = _leant(spectrum, band, fraction, longest, (words, lines, end))
    lines = room_not_filter(lines, upright, words)
    return _result(band, fraction, end, lines, early, ts_s, words)


def _curve(band: Band) -> tuple[Array, Tail | None, Curve | None]:
    energy = np.concatenate(([0.0], np.cumsum(band.power)))
    end = tail(band, energy)
    return energy, end, decay_curve(band, energy, end) if end else None


def _lines(curve: Curve, words: Words) -> Lines:
    """EDT, T20 and T30, in this order."""
    t20 = _fit(curve, -5.0, -25.0, "T20", iso.T20_RANGE_DB, words)
    t30 = _fit(curve, -5.0, -35.0, "T30", iso.T30_RANGE_DB, words)
    return _fit(curve, 0.0, -10.0, "EDT", iso.EDT_RANGE_DB, words), t20, t30


def _longest(lines: Lines) -> float | None:
    late = [line.t60_s for line in lines[1:] if line]
    return max(late) if late else (lines[0].t60_s if lines[0] else None)


def _leant(
    spectrum: Spectrum, band: Band, fraction: int, t60_s: float, upright: tuple[Words, Lines, Tail]
) -> tuple[Words, Lines, Tail]:
    """The same band by a filter that leans with its decay; the upright one where that gives less."""
    lean = min(3 * math.log(10) / t60_s, MOST_LEAN * band.bandwidth_hz)
    _, end, curve = _curve(spectrum.band(band.band_hz, fraction, lean))
    if end is None or curve is None:
        return upright
    words = Words(band.bandwidth_hz, upright[0].range_db)
    lines = _lines(curve, words)
    lost = any(before and not after for before, after in zip(upright[1], lines, strict=True))
    return upright if lost else (words, lines, end)


def _range_db(band: Band, energy: Array, end: Tail | None) -> float:
    """Peak of the squared band signal over the mean square at the end of its record. [dB]"""
    peak = 2 * float(band.power[band.start : band.stop].max())
    count = max((band.stop - band.start) // 10, 1)
    floor = end.floor if end else float(energy[band.stop] - energy[band.stop - count]) / count
    return 10 * math.log10(max(peak, 1e-300) / max(floor, peak * 1e-30, 1e-300))


def _fit(curve: Curve, from_db: float, to_db: float, name: str, needed_db: float, words: Words) -> Line | None:
    """A fit, or the reason why there is none."""
    if words.range_db < needed_db:
        words.lacks(name, needed_db)
        return None
    clear_db = 10.0 if name == "EDT" else CLEAR_DB
    if curve.floor_db > to_db - clear_db:
        words.sinks(name, to_db, curve.floor_db, clear_db)
        return None
    line = fit_line(curve, from_db, to_db)
    if line is None or iso.non_linearity_permille(line.correlation) > CROOKED_PERMILLE.get(name, math.inf):
        words.no_line(name, line)
        return None
    return line


def _result(
    band: Band, fraction: int, end: Tail, lines: Lines, early: Early | None, ts_s: float, words: Words
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
        range_db=words.range_db,
        curvature_pct=bend,
        reasons=words.said,
    )
