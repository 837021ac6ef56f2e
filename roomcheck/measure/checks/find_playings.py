"""Playings of a sweep file whose marker chirps drown in the room's own sound, found by the sweep
between them."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from roomcheck.measure.checks.clock import ALIKE, SLACK_S, compare_markers, resample
from roomcheck.measure.files.played import Played
from roomcheck.measure.files.sound_file import opened
from roomcheck.measure.signal.deconvolution import COMPACT_DB, deconvolve
from roomcheck.measure.signal.thinned import thinned, thinned_sweep, thinning_of
from roomcheck.parts import OnPart

BLOCK_S = 30.0
OFF_S = 0.1
"""How far the highest peaks of two passes may stand from the file's spacing: each may be another
reflection. [s]"""

Array = NDArray[np.float64]


def playings_between(
    path: Path,
    played: Played,
    ratio: float,
    channel: int | None,
    *,
    from_s: float,
    to_s: float,
    on_part: OnPart | None = None,
) -> list[tuple[float, float]]:
    """Where both marker chirps of every playing begin in a part of a recording. [s]

    Far from the loudspeaker in a live room a tenth of a second of chirp is lost among its echoes; a
    sweep of many seconds is not. Each playing counts where its two recorded chirps are alike,
    whatever they look like.

    Parameters
    ----------
    ratio : float
        Recorder's samples for each of the player's, besides what the file's rate says.
    channel : int or None
        From 1; the mean of all where None.
    on_part : callable or None
        Gets, after each block, how many seconds are looked through, and of how many.
    """
    thin = thinned_sweep(played.sweep, thinning_of(played.sweep))
    played = dataclasses.replace(played, sweep=thin)
    rate_hz = thin.rate_hz
    sweeps_s = _sweeps(path, played, ratio, channel, from_s, to_s, on_part)
    heard_s = [at for at in sweeps_s if from_s <= at < to_s]
    found = []
    for at in heard_s:
        passes = [(p.start_s - played.passes[0].start_s) * ratio for p in played.passes]
        if not all(any(abs(other - at - apart) < OFF_S for other in heard_s) for apart in passes):
            continue
        first_s = at - (played.passes[0].start_s - played.first_s) * ratio
        last_s = first_s + (played.last_s - played.first_s) * ratio
        begin_s = max(first_s - SLACK_S - 1.0, 0.0)
        y = _read(path, played, ratio, channel, begin_s, last_s + SLACK_S + 1.0)
        pair = compare_markers(y, (first_s - begin_s) / ratio * rate_hz, played, ratio)
        if pair is not None and pair.alike >= ALIKE:
            found.append((first_s, last_s))
    return found


def _sweeps(
    path: Path,
    played: Played,
    ratio: float,
    channel: int | None,
    from_s: float,
    to_s: float,
    on_part: OnPart | None,
) -> list[float]:
    """Where a sweep begins, the strongest within its own length. [s]"""
    rate_hz = played.sweep.rate_hz
    length_s = len(played.sweep.samples) / rate_hz * ratio
    hits: list[tuple[float, float]] = []
    start_s = from_s
    while start_s + length_s < to_s:
        y = _read(path, played, ratio, channel, start_s, min(start_s + BLOCK_S, to_s) + length_s)
        if len(y) < len(played.sweep.samples):
            break
        h, zero = deconvolve(y, played.sweep)
        h = np.abs(h[zero : zero + round(BLOCK_S / ratio * rate_hz)])
        least = 10 ** (COMPACT_DB / 20) * float(np.sqrt(np.mean(h**2)))
        for a in range(0, len(h), rate_hz):
            at = a + int(np.argmax(h[a : a + rate_hz]))
            if h[at] >= least > 0:
                hits.append((float(h[at]), start_s + at / rate_hz * ratio))
        start_s += BLOCK_S
        if on_part is not None:
            on_part(round(min(start_s, to_s) - from_s), round(to_s - from_s))
    kept: list[float] = []
    for _, at_s in sorted(hits, reverse=True):
        if all(abs(at_s - other) > 0.9 * length_s for other in kept):
            kept.append(at_s)
    return sorted(kept)


def _read(
    path: Path, played: Played, ratio: float, channel: int | None, from_s: float, to_s: float
) -> Array:
    """A part of a recording on the player's clock: (frames,)."""
    with opened(path) as file:
        rate = file.samplerate
        file.seek(min(round(from_s * rate), file.frames))
        part = file.read(max(round((to_s - from_s) * rate), 0), dtype="float64", always_2d=True)
    y: Array = part.mean(axis=1) if channel is None else part[:, channel - 1]
    if not len(y):
        return y
    factor = max(rate // played.sweep.rate_hz, 1)
    return resample(thinned(y, factor), played.sweep.rate_hz * factor / rate / ratio)
