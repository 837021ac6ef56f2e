"""What a lossy file, a balloon or a clap cannot carry is withheld, with the reason."""

from __future__ import annotations

from dataclasses import replace

from roomcheck.analyse.results import BandDecay
from roomcheck.measure import Limits
from roomcheck.standards.iec_61260_1_2014 import band_edges_hz


def limited(
    bands: tuple[BandDecay, ...], limits: Limits | None, fraction: int
) -> tuple[BandDecay, ...]:
    """The bands with only those numbers that such a record can carry."""
    if limits is None:
        return bands
    low, high = band_edges_hz(limits.low_hz)[0] * 0.99, band_edges_hz(limits.high_hz)[1] * 1.01
    made = []
    for band in bands:
        edges = band_edges_hz(band.band_hz, fraction)
        inside = low <= edges[0] and edges[1] <= high
        made.append(_early_withheld(band, limits) if inside else _withheld(band, limits))
    return tuple(made)


def _early_withheld(band: BandDecay, limits: Limits) -> BandDecay:
    told = (
        "EDT, clarity, definition and centre time need a sweep." if band.t20_s is not None else ""
    )
    reasons = (*band.reasons, str(limits.why), *((told,) if told else ()), *map(str, limits.notes))
    return replace(
        band, edt_s=None, c50_db=None, c80_db=None, d50=None, ts_s=None, c50_sd_db=None, c80_sd_db=None, d50_sd=None,
        ts_sd_s=None, reasons=reasons,
    )  # fmt: skip


def _withheld(band: BandDecay, limits: Limits) -> BandDecay:
    reason = (
        f"{limits.why} It carries {limits.low_hz:g} to {limits.high_hz:g} Hz; record a sweep for "
        "this band."
    )
    return replace(
        _early_withheld(band, limits), t20_s=None, t30_s=None, t20_sd_s=None, t30_sd_s=None, curvature_pct=None,
        reasons=(reason, *map(str, limits.notes)),
    )  # fmt: skip
