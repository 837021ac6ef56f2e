"""One visit: the decays of every take, their means over the positions, and what ISO 3382-2 makes of them."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from statistics import fmean, stdev

from roomcheck.analyse.flutter import flutter
from roomcheck.analyse.grade import grade
from roomcheck.analyse.reflections import reflections, speed_m_s
from roomcheck.analyse.response import decays
from roomcheck.analyse.results import Analysis, BandDecay, BandMean, PositionDecays
from roomcheck.job import Job
from roomcheck.measure.signals import Measurement
from roomcheck.standards import iso_3382_2_2008 as iso

MID_BANDS_HZ = (500.0, 1000.0)


def analyse(measurements: Sequence[Measurement], *, job: Job, visit: str) -> Analysis:
    """What the takes of one visit say about the room.

    Parameters
    ----------
    measurements : sequence of Measurement
        Takes whose check says "repeat" are left out, and named.
    job : Job
        For its volume and positions.
    visit : str
        "before" or "after".

    Returns
    -------
    Analysis
        Repeated takes of one source and microphone are averaged before the positions are.
    """
    kept = [m for m in measurements if m.check.keep]
    positions = tuple(
        PositionDecays(
            source=m.source,
            microphone=m.microphone,
            take=m.take,
            octaves=decays(m.response, 1),
            thirds=decays(m.response, 3),
        )
        for m in kept
    )
    octaves, thirds = band_means(positions, 1), band_means(positions, 3)
    mid = _mid(octaves)
    reached, lacking = grade(positions, job, mid[0])
    refused = tuple(f"{m.take} is left out: {'; '.join(m.check.reasons)}" for m in measurements if not m.check.keep)
    return Analysis(
        visit=visit,
        positions=positions,
        reflections=reflections(kept, job=job, visit=visit),
        flutter=flutter(job.room, [(m.source, m.microphone, m.response) for m in kept], speed_m_s(job, visit)),
        octaves=octaves,
        thirds=thirds,
        transition_hz=transition_hz(octaves, job.room.volume_m3),
        mid_s=mid[0],
        mid_u_s=mid[1],
        grade=reached,
        lacking=lacking + refused,
    )


def band_means(positions: Iterable[PositionDecays], fraction: int) -> tuple[BandMean, ...]:
    """The mean of every band over the positions, each source and microphone counted once."""
    pairs: dict[tuple[str, str], list[tuple[BandDecay, ...]]] = {}
    for position in positions:
        bands = position.octaves if fraction == 1 else position.thirds
        pairs.setdefault((position.source, position.microphone), []).append(bands)
    rows = [[list(takes) for takes in zip(*repeats, strict=True)] for repeats in pairs.values()]
    return tuple(_mean([list(pair) for pair in band], fraction) for band in zip(*rows, strict=True))


def _mean(pairs: list[list[BandDecay]], fraction: int) -> BandMean:
    band_hz = pairs[0][0].band_hz
    t20 = _per_pair(pairs, lambda band: band.t20_s)
    mean = fmean(t20) if t20 else None
    spread = stdev(t20) if len(t20) > 1 else None
    return BandMean(
        band_hz=band_hz,
        edt_s=_over(pairs, lambda band: band.edt_s),
        t20_s=mean,
        t30_s=_over(pairs, lambda band: band.t30_s),
        c50_db=_over(pairs, lambda band: band.c50_db),
        c80_db=_over(pairs, lambda band: band.c80_db),
        d50=_over(pairs, lambda band: band.d50),
        ts_s=_over(pairs, lambda band: band.ts_s),
        t20_u_s=None if mean is None else t20_uncertainty_s(mean, spread, len(t20), band_hz, fraction),
        t20_spread_s=spread,
        positions=len(t20),
        reasons=_reasons(pairs, len(t20)),
    )


def t20_uncertainty_s(
    mean_s: float, spread_s: float | None, positions: int, band_hz: float, fraction: int = 1
) -> float:
    """Standard uncertainty of a mean T20: what the positions show or what chance alone gives, whichever is more. [s]

    Few positions can agree by luck, so the standard deviation of ISO 3382-2, Annex A, is the least.
    """
    chance = iso.t20_sd_s(mean_s, band_hz, fraction, positions, iso.RESPONSE_AS_DECAYS)
    return max(chance, (spread_s or 0.0) / math.sqrt(positions))


def _per_pair(pairs: list[list[BandDecay]], get: Callable[[BandDecay], float | None]) -> list[float]:
    known = [[value for value in map(get, takes) if value is not None] for takes in pairs]
    return [fmean(values) for values in known if values]


def _over(pairs: list[list[BandDecay]], get: Callable[[BandDecay], float | None]) -> float | None:
    values = _per_pair(pairs, get)
    return fmean(values) if values else None


def _reasons(pairs: list[list[BandDecay]], have: int) -> tuple[str, ...]:
    said: list[str] = []
    if have == 1:
        said.append("One position: the spread over the room is not known.")
    if 0 < have < len(pairs):
        said.append(f"T20 from {have} of {len(pairs)} positions.")
    alike: dict[str, list[str]] = {}
    for takes in pairs:
        for reason in {reason for band in takes for reason in band.reasons}:
            alike.setdefault(re.sub(r"\d[\d.,]*", "#", reason), []).append(reason)
    # What differs in its figures alone is said once, with how many say the like.
    for group in sorted(alike.values(), key=lambda group: (-len(group), sorted(group))):
        said.append(sorted(group)[-1] + (f" (So or alike {len(group)} times.)" if len(group) > 1 else ""))
    return tuple(said)


def _mid(octaves: tuple[BandMean, ...]) -> tuple[float | None, float | None]:
    both = [band for band in octaves if band.band_hz in MID_BANDS_HZ and band.t20_s is not None]
    if len(both) < len(MID_BANDS_HZ):
        return None, None
    return fmean(band.t20_s or 0.0 for band in both), math.hypot(*(band.t20_u_s or 0.0 for band in both)) / len(both)


def transition_hz(octaves: Sequence[BandMean], volume_m3: float) -> float | None:
    r"""Where modes give way to a reverberation: :math:`f = 2000\sqrt{T(f)/V}`, T read between the octaves. [Hz]

    The highest frequency that fits, so that everything above it is above its own transition. None where no octave has
    a T20.

    >>> flat = [BandMean(band_hz=f, t20_s=0.5, edt_s=None, t30_s=None, c50_db=None, c80_db=None, d50=None, ts_s=None,
    ...     t20_u_s=None, t20_spread_s=None, positions=1) for f in (125.0, 250.0)]
    >>> transition_hz(flat, 50.0)
    200.0

    References
    ----------
    M. R. Schroeder, "The 'Schroeder frequency' revisited", J. Acoust. Soc. Am. 99 (1996) 3240.
    """
    known = [(math.log(band.band_hz), band.t20_s) for band in octaves if band.t20_s is not None]
    if not known:
        return None

    def excess(log_f: float) -> float:
        return math.exp(log_f) - 2000 * math.sqrt(_between(known, log_f) / volume_m3)

    high = math.log(20_000.0)
    low = high
    while excess(low) > 0:
        low -= math.log(2) / 12
    high = low + math.log(2) / 12
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (low, middle) if excess(middle) > 0 else (middle, high)
    return round(math.exp(high), 9)


def _between(known: list[tuple[float, float]], at: float) -> float:
    if at <= known[0][0]:
        return known[0][1]
    for (x0, y0), (x1, y1) in pairwise(known):
        if at <= x1:
            return y0 + (y1 - y0) * (at - x0) / (x1 - x0)
    return known[-1][1]
