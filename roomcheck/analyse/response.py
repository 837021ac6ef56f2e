"""One response to the decay of every band."""

from __future__ import annotations

import math

import numpy as np

from roomcheck.analyse.bands import Band, Spectrum, reach_s
from roomcheck.analyse.clarity import Gates, centre_time_s
from roomcheck.analyse.curve import decay_curve, fit_line
from roomcheck.analyse.noise import tail
from roomcheck.analyse.onset import start
from roomcheck.analyse.results import BandDecay
from roomcheck.measure.signals import ImpulseResponse
from roomcheck.standards import iso_3382_2_2008 as iso
from roomcheck.standards.iec_61260_1_2014 import band_edges_hz, bands_hz


def decays(ir: ImpulseResponse, fraction: int = 1) -> tuple[BandDecay, ...]:
    """How sound dies away in each octave from 63 Hz to 8 kHz, or each third from 50 Hz to 10 kHz.

    Parameters
    ----------
    ir : ImpulseResponse
        One position; may begin with a lead-in.
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
    """
    bands = bands_hz(fraction)
    begun = start(ir)
    if not begun.samples.size:
        return tuple(_nothing(band_hz, ("Silence: the record holds no sound at all.",)) for band_hz in bands)
    spectrum = Spectrum(begun.samples, ir.rate_hz, begun.lead_s, 2 * reach_s(bands[0], fraction))
    gates = Gates(begun, ir.rate_hz, fraction)
    found = []
    for band_hz in bands:
        if band_edges_hz(band_hz, fraction)[1] > ir.rate_hz / 2:
            found.append(
                _nothing(band_hz, (f"The rate of {ir.rate_hz} Hz does not carry this band; record at 48 kHz.",))
            )
        else:
            found.append(_one(spectrum.band(band_hz, fraction), gates, fraction))
    return tuple(found)


def _nothing(band_hz: float, reasons: tuple[str, ...], range_db: float | None = None) -> BandDecay:
    return BandDecay(
        band_hz=band_hz, edt_s=None, t20_s=None, t30_s=None, t20_sd_s=None, t30_sd_s=None, c50_db=None, c80_db=None,
        d50=None, ts_s=None, range_db=range_db, curvature_pct=None, reasons=reasons,
    )  # fmt: skip


def _one(band: Band, gates: Gates, fraction: int) -> BandDecay:
    energy = np.concatenate(([0.0], np.cumsum(band.power)))
    end = tail(band, energy)
    if end is None:
        return _nothing(band.band_hz, ("Nothing in this band decays.",))
    curve = decay_curve(band, energy, end)
    if curve is None:
        return _nothing(band.band_hz, ("Nothing in this band stands above the noise.",))
    peak = float(band.power[: band.stop].max()) * 2
    range_db = 10 * math.log10(peak / end.floor) if end.floor > 0 else 300.0
    lines = {
        "edt": fit_line(curve, 0.0, -10.0) if range_db >= iso.EDT_RANGE_DB else None,
        "t20": fit_line(curve, -5.0, -25.0) if range_db >= iso.T20_RANGE_DB else None,
        "t30": fit_line(curve, -5.0, -35.0) if range_db >= iso.T30_RANGE_DB else None,
    }
    edt, t20, t30 = (line.t60_s if line else None for line in lines.values())
    c = {g: gates.split(g, band.band_hz, fraction, curve.total, end) for g in (0.050, 0.080)}
    early50, late50 = c[0.050]
    early80, late80 = c[0.080]
    ok = range_db >= iso.EDT_RANGE_DB and min(early50, late50, early80, late80) > 0
    return BandDecay(
        band_hz=band.band_hz,
        edt_s=edt,
        t20_s=t20,
        t30_s=t30,
        t20_sd_s=iso.t20_sd_s(t20, band.band_hz, fraction) if t20 else None,
        t30_sd_s=iso.t30_sd_s(t30, band.band_hz, fraction) if t30 else None,
        c50_db=10 * math.log10(early50 / late50) if ok else None,
        c80_db=10 * math.log10(early80 / late80) if ok else None,
        d50=early50 / (early50 + late50) if ok else None,
        ts_s=centre_time_s(band, end, curve.total) if ok else None,
        range_db=range_db,
        curvature_pct=iso.curvature_pct(t20, t30) if t20 and t30 else None,
        reasons=(),
    )
