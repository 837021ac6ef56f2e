"""Keep a take, or repeat it, because …: every remark with its evidence in numbers.

The limits are common practice unless a line says otherwise. A false alarm costs trust, a missed
fault a second trip: what makes numbers wrong says "repeat", what only limits them is a warning.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.measure.checks.arrivals import (
    distortion,
    drift,
    harmonics,
    jump,
    median_db,
    other_sweep,
    two_sources,
)
from roomcheck.measure.checks.bursts import bursts
from roomcheck.measure.checks.gain_control import (
    gain,
    knee_of_s,
    noise_around,
    noise_level_dbfs,
    rest_of,
)
from roomcheck.measure.checks.rattle import buzzes
from roomcheck.measure.checks.take_record import MAIN_HZ, NEEDED_DB, Array, Remark, TakeRecord
from roomcheck.measure.kinds import Take
from roomcheck.measure.signal.deconvolution import Lags
from roomcheck.measure.signal.envelopes import Envelope, envelopes
from roomcheck.measure.signal.signals import BandRange, TakeCheck

FULL_SCALE = 0.997
LONGEST_SWEEP_S = 60.0
"""No longer sweep is advised. [s]"""


def check_take(heard: TakeRecord, notes: tuple[Fact[Take], ...] = ()) -> TakeCheck:
    """Every check on one take.

    Parameters
    ----------
    notes : tuple of Fact
        Further warnings, of those who read the file.
    """
    lags = heard.lags
    parts, tail_s = envelopes(lags), (lags.tail_end - lags.start) / lags.sweep.rate_hz
    names = tuple(part.band_hz for part in parts)
    bands = tuple(band_range(part, tail_s) for part in parts)
    ratios = harmonics(lags, parts)
    harmonics_db = median_db(ratios)
    if any(ratio > 1 for _, ratio in ratios):
        raise other_sweep(heard.where, np.nan, np.nan)
    knee_s = max((knee_of_s(part, tail_s) for part in parts), default=0.1)
    before, after = noise_around(heard, names, knee_s)
    rest = rest_of(
        heard, names, knee_s, harmonics_db, max((b.range_db or 100.0 for b in bands), default=60.0)
    )
    clipped = [*clipping(heard.raw), *distortion(ratios)]
    remarks = [
        *clipped,
        *gaps(heard.raw, heard.raw_rate_hz),
        *jump(lags, parts, heard.where),
        *levels(bands, lags),
        *still_sounding(parts, bands, tail_s),
        *two_sources(lags, heard.away_m),
    ]
    if any(remark.repeat for remark in clipped):
        # What clipping leaves under the sweep is neither noise nor a burst.
        remarks += gain(before, None, after, names)
    else:
        remarks += gain(before, rest, after, names)
        remarks += bursts(heard, rest, harmonics_db)
    if heard.drift_ppm is None:
        remarks += drift(lags)
    reasons = tuple(remark.fact for remark in remarks if remark.repeat)
    return TakeCheck(
        keep=not reasons,
        reasons=reasons,
        warnings=(*notes, *(remark.fact for remark in remarks if not remark.repeat)),
        peak_dbfs=float(20 * np.log10(np.abs(heard.raw).max())),
        noise_dbfs=noise_level_dbfs(heard, knee_s),
        bands=bands,
        harmonics_db=harmonics_db,
        drift_ppm=heard.drift_ppm,
        buzzes=buzzes(heard),
    )


def clipping(raw: Array) -> Iterator[Remark]:
    """Flat tops at full scale or at the record's own peak, and peaks that touch full scale again
    and again."""
    size = np.abs(raw)
    peak = float(size.max())
    step = np.abs(np.diff(raw))
    runs = [(a, n + 1) for a, n in _runs((step < 1e-4 * peak) & (size[1:] >= 0.9999 * peak))]
    # The top of a slow sine is flat too, but not over nearly half of what lies within 3 % of it.
    finest = float(step[step > 0].min(initial=1.0))
    fine_enough = 0.03 * peak > 8 * finest
    flat = [(a, n) for a, n in runs if n >= 3]
    cut = [n for a, n in flat if fine_enough and n > 0.4 * _width(size, a, 0.97 * peak)]
    full = [n for a, n in flat if size[a] >= FULL_SCALE]
    # A short peak, as of a knock, touches the end of the scale for a sample or two, again and
    # again.
    most, least = float(raw.max()), float(raw.min())
    at_top = (raw == most) & (most >= FULL_SCALE)
    at_bottom = (raw == least) & (least <= -FULL_SCALE)
    touched = [n for _, n in _runs(at_top | at_bottom)]
    kinds = ((full, 3), (cut, 3), (touched, 4))
    many = any(len(tops) >= needed for tops, needed in kinds)
    long = len(cut) >= 2 and sum(cut) >= 10
    if many or long:
        count, samples = max((len(tops), sum(tops)) for tops, _ in kinds)
        clipped = fact(
            Take.CLIPPED,
            tops=count,
            level_dbfs=float(20 * np.log10(peak)),
            share=samples / len(raw),
        )
        yield Remark(True, clipped)


def _width(size: Array, at: int, level: float) -> int:
    """How many samples around one stay above a level."""
    low = np.flatnonzero(size[max(at - 20_000, 0) : at + 1] < level)
    high = np.flatnonzero(size[at : at + 20_000] < level)
    before = at - max(at - 20_000, 0) - (int(low[-1]) if low.size else -1)
    return before + (int(high[0]) if high.size else len(size) - at) - 1


def gaps(raw: Array, rate_hz: float) -> Iterator[Remark]:
    """Samples that stand still for a millisecond or more while the sweep sounds."""
    least, around = max(int(0.001 * rate_hz), 24), int(0.02 * rate_hz)
    still = []
    for first, length in _runs(np.diff(raw) == 0):
        if length < least:
            continue
        after = first + length + 1
        sides = (raw[max(first - around, 0) : first], raw[after : after + around])
        nearby = np.abs(raw[max(first - around, 0) : first + length + around])
        if abs(raw[first]) >= 0.9 * nearby.max():
            continue  # a clipped top
        if all(len(side) >= around // 2 and np.sqrt(np.mean(side**2)) > 3e-3 for side in sides):
            still.append((first / rate_hz, length / rate_hz))
    if still:
        standing = fact(
            Take.STANDS_STILL,
            at_s=still[0][0],
            places=len(still),
            longest_s=max(length_s for _, length_s in still),
        )
        yield Remark(True, standing)


def band_range(part: Envelope, tail_s: float) -> BandRange:
    """Peak over noise of one octave; the noise from the last 30 % of the tail."""
    peak = float(part.part(-4 * part.step_s, 0.5).max())
    noise = float(np.mean(part.part(0.7 * tail_s, tail_s))) / 2
    if noise <= peak * 1e-16:
        return BandRange(band_hz=part.band_hz, range_db=None, lacking_db=0.0)
    found = 10 * np.log10(peak / noise)
    return BandRange(
        band_hz=part.band_hz, range_db=float(found), lacking_db=float(max(NEEDED_DB - found, 0.0))
    )


def levels(bands: tuple[BandRange, ...], lags: Lags) -> Iterator[Remark]:
    """What T20 lacks, per octave, and what would give it."""
    short = [b for b in bands if b.lacking_db > 0]
    if not short:
        return
    worst = [b.lacking_db for b in short if MAIN_HZ[0] <= b.band_hz <= MAIN_HZ[1]]
    most = max(worst, default=max(b.lacking_db for b in short))
    longer = lags.sweep.seconds * 10 ** (most / 10)
    lacking = fact(
        Take.RANGE_LACKING,
        bands_hz=tuple(b.band_hz for b in short),
        lacking_db=tuple(b.lacking_db for b in short),
        louder_db=float(np.ceil(most)),
        sweep_s=float(np.ceil(longer)) if longer <= LONGEST_SWEEP_S else None,
    )
    yield Remark(bool(worst), lacking)


def still_sounding(
    parts: tuple[Envelope, ...], bands: tuple[BandRange, ...], tail_s: float
) -> Iterator[Remark]:
    """A record that ends before the decay does."""
    if not any(b.range_db is not None and b.range_db < NEEDED_DB + 15 for b in bands):
        return
    fall = [
        10
        * np.log10(
            np.mean(part.part(0.4 * tail_s, 0.7 * tail_s))
            / np.mean(part.part(0.7 * tail_s, tail_s))
        )
        for part in parts
        if MAIN_HZ[0] <= part.band_hz <= MAIN_HZ[1]
    ]
    if fall and np.median(fall) > 3:
        ends = fact(Take.STILL_SOUNDING, after_s=tail_s, fall_db=float(np.median(fall)))
        yield Remark(False, ends)


def _runs(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Start and length of every run of True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8)))
    return [(int(a), int(b - a)) for a, b in zip(edges[::2], edges[1::2], strict=True)]
