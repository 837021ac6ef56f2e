"""What a lossy file, a balloon or a clap cannot carry is withheld, with the reason."""

from __future__ import annotations

from dataclasses import replace

from roomcheck.analyse.band.kinds import Reason
from roomcheck.analyse.decay.results import BandDecay
from roomcheck.facts import fact
from roomcheck.measure import Limits
from roomcheck.standards.iec_61260_1_2014 import band_edges_hz


def limited(
    bands: tuple[BandDecay, ...], limits: Limits | None, fraction: int
) -> tuple[BandDecay, ...]:
    """The bands with only those numbers that such a record can carry."""
    if limits is None:
        return bands
    # A hundredth of play: edges of thirds and octaves agree to less than that.
    low_hz = band_edges_hz(limits.low_hz)[0] * 0.99
    high_hz = band_edges_hz(limits.high_hz)[1] * 1.01
    made = []
    for band in bands:
        low_edge_hz, high_edge_hz = band_edges_hz(band.band_hz, fraction)
        inside = low_hz <= low_edge_hz and high_edge_hz <= high_hz
        made.append(_early_withheld(band, limits) if inside else _withheld(band, limits))
    return tuple(made)


def _early_withheld(band: BandDecay, limits: Limits) -> BandDecay:
    early = (fact(Reason.NEEDS_SWEEP),) if band.t20_s is not None else ()
    return replace(
        band,
        edt_s=None,
        c50_db=None,
        c80_db=None,
        d50=None,
        ts_s=None,
        c50_sd_db=None,
        c80_sd_db=None,
        d50_sd=None,
        ts_sd_s=None,
        withheld=(*band.withheld, limits.why, *early),
        warnings=(*band.warnings, *limits.notes),
    )


def _withheld(band: BandDecay, limits: Limits) -> BandDecay:
    reason = fact(Reason.RECORD_BAND, low_hz=limits.low_hz, high_hz=limits.high_hz)
    return replace(
        _early_withheld(band, limits),
        t20_s=None,
        t30_s=None,
        t20_sd_s=None,
        t30_sd_s=None,
        curvature_pct=None,
        withheld=(limits.why, reason),
        warnings=limits.notes,
    )
