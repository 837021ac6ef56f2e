"""Two machines, two clocks: marker chirps, the ratio between the clocks, and resampling by it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.measure.faults import ClockJump, MarkersNotFound
from roomcheck.measure.files.played import Marker, Played
from roomcheck.measure.signal.deconvolution import Lags, strongest_lag
from roomcheck.measure.signal.memory import let_go
from roomcheck.measure.signal.thinned import thinned, thinned_sweep, thinning_of

RATE_RATIOS = {44_100 / 48_000: (44_100, 48_000), 48_000 / 44_100: (48_000, 44_100)}
"""Recorder's samples for each of the player's, where one machine is set wrong: which rate is taken
for which. [1], [Hz]"""

DRIFT_PPM = 1000.0
"""Two quartz clocks differ by 10 to 100 ppm; beyond this it is no clock. Common practice. [1e-6]"""

SLACK_S = 1.0
"""How far from its place the last marker is looked for. [s]"""

ALIKE = 0.5
"""Least correlation between the two recorded markers, in their band; 0.5 is as much noise as chirp.
[1]"""

OFF_S = 0.0002
"""A marker off its place by more than this is no clock: 2 ppm over a minute, or 70 mm of movement.
[s]"""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """The recorder's clock against the player's, by two markers."""

    first: float
    """Where the first marker begins in the recording [samples]."""
    ratio: float
    """Recorder's samples for each of the player's [1]."""
    rate_mismatch: tuple[int, int] | None
    """Which rate is taken for which; None where the ratio is not that of two common rates [Hz]."""
    alike: float
    """Correlation of the two recorded markers [1]."""

    @property
    def drift_ppm(self) -> float:
        """How fast the recorder's clock runs against the player's, a rate mismatch taken out.
        [1e-6]"""
        nominal = min((1.0, *RATE_RATIOS), key=lambda r: abs(self.ratio / r - 1))
        return 1e6 * (self.ratio / nominal - 1)


def read_markers(y: Array, played: Played, where: str) -> Clock:
    """Compare the spacing of the two recorded markers with the player's.

    The sweep itself says where to look for them. The two are compared with one another, not with
    the chirp: both went through the same room.

    Parameters
    ----------
    y : (frames,)
        Recording, at the played file's nominal rate.

    Raises
    ------
    MarkersNotFound
    ClockJump
        The spacing is that of no clock.
    """
    pair = _best_pair(y, played)
    apart_s = played.last_s - played.first_s
    if pair is None or pair.alike < ALIKE:
        why = "they lie outside the record" if pair is None else f"likeness {pair.alike:.2f}"
        raise MarkersNotFound(
            where=where,
            found=f"not both marker chirps, {apart_s:.1f} s apart, are in it ({why})",
            needed=f"both, with a likeness of {ALIKE:g} at least",
            todo="Record from before the first chirp to after the last, or name the sweep file "
            "that was really played.",
        )
    if abs(pair.off_ppm) > DRIFT_PPM:
        lost_ms = -pair.off_ppm / 1000 * apart_s
        jump = "lost" if lost_ms > 0 else "added"
        raise ClockJump(
            where=where,
            found=f"the markers lie {pair.off_ppm:+.0f} ppm wrong, as if {abs(lost_ms):.0f} ms "
            f"had been {jump}: a gap, not a clock",
            needed=f"within {DRIFT_PPM:.0f} ppm, or the ratio of 44.1 to 48 kHz",
            todo="Play from a file on the machine, by wire, and record again.",
        )
    return Clock(
        first=pair.first * pair.nominal,
        ratio=pair.nominal * (1 + pair.off_ppm / 1e6),
        rate_mismatch=RATE_RATIOS.get(pair.nominal),
        alike=pair.alike,
    )


def mismatch_named(rates_hz: tuple[int, int]) -> str:
    """Name two rates that were taken for one another, for an error.

    >>> mismatch_named((44_100, 48_000))
    '44.1 kHz taken for 48 kHz'
    """
    true_hz, taken_hz = rates_hz
    return f"{true_hz / 1000:g} kHz taken for {taken_hz / 1000:g} kHz"


def resample(y: Array, ratio: float) -> Array:
    """`ratio` samples for every one of `y`'s, exact to 1e-8, band-limited.

    One transform of a padded length N, one back of N' = N ratio: N is chosen so that N' is whole.
    """
    from scipy import fft

    if abs(ratio - 1) * len(y) < 0.01:  # a hundredth of a sample over the whole record
        return y
    lengths = np.arange(len(y) + 1000, len(y) + 21_000)
    off = np.abs(np.round(lengths * ratio) / (lengths * ratio) - 1)
    n = int(lengths[np.argmax(off < max(1e-8, off.min() * 1.0001))])
    m = round(n * ratio)
    spectrum = fft.rfft(y, n)[: m // 2 + 1]
    if m <= n:
        spectrum[-1] = 0
    out: Array = fft.irfft(spectrum, m) * (m / n)
    let_go(n)
    return out[: int(np.ceil(len(y) * ratio))]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """How alike two recorded markers are, and how far off the player's spacing. [1], [1e-6]"""

    alike: float
    off_ppm: float
    first: float
    nominal: float


def _best_pair(y: Array, played: Played) -> Pair | None:
    """The likeliest pair of markers: at the nominal rate if it is there, else at the other common
    one."""
    best: Pair | None = None
    factor = thinning_of(played.sweep)
    thin = thinned_sweep(played.sweep, factor)
    for nominal in (1.0, *RATE_RATIOS):
        heard = resample(y, 1 / nominal)
        if len(heard) < len(played.sweep.samples):
            continue
        start = factor * strongest_lag(thinned(heard, factor), thin)
        for one in played.passes:
            first = start - (one.start_s - played.first_s) * played.sweep.rate_hz
            pair = compare_markers(heard, first, played, nominal)
            if pair is not None and (best is None or pair.alike > best.alike):
                best = pair
        if best is not None and best.alike >= ALIKE and abs(best.off_ppm) <= DRIFT_PPM:
            break
    return best


def compare_markers(y: Array, first: float, played: Played, nominal: float) -> Pair | None:
    """Slide the first marker's neighbourhood over the last one's. None where they are not in the
    record.

    Parameters
    ----------
    y : (frames,)
        On the player's clock.
    first : float
        Where the first marker begins. [samples]
    """
    marker, rate = played.marker, played.sweep.rate_hz
    if marker is None:
        return None
    spacing = (played.last_s - played.first_s) * rate
    before, length, slack = (
        round(0.02 * rate),
        round((marker.seconds + 0.3) * rate),
        round(SLACK_S * rate),
    )
    a, b = round(first) - before, round(first + spacing) - before
    if a < -before or b + length // 2 > len(y):
        return None
    one = _cut(y, a, a + before + length)
    two = _cut(y, b - slack, b + before + length + slack)
    alike, at = _slide(one, two, rate, marker)
    off_ppm = 1e6 * ((b - slack + at - a) / spacing - 1)
    return Pair(alike=alike, off_ppm=off_ppm, first=first, nominal=nominal)


def marker_offsets_s(
    y: Array, played: Played, lags: Lags, start: int
) -> tuple[float, float] | None:
    """How far each marker lies from where the sweep of the same loudspeaker says it must. [s]

    The marker as this room answers it is made from the sweep's own response and looked for in the
    record. Drift that is rightly taken out leaves both at 0; lost samples do not: two markers alone
    cannot tell, the sweep between them can.

    Parameters
    ----------
    y : (frames,)
        Record on the player's clock.
    lags : Lags
        Of the first pass, cut from `y` at `start`.

    Returns
    -------
    (first, last) or None
        None where noise hides a marker.
    """
    from scipy import fft

    marker, rate = played.marker, played.sweep.rate_hz
    if marker is None:
        return None
    lead, slack = round(0.01 * rate), round(0.1 * rate)
    h = lags.samples[max(lags.start - lead, 0) : min(lags.start + round(0.3 * rate), lags.tail_end)]
    chirp = marker.samples(rate)
    size = fft.next_fast_len(len(h) + len(chirp), real=True)
    made = fft.irfft(fft.rfft(h, size) * fft.rfft(chirp, size), size)[: len(h) + len(chirp)]
    direct = start + max(lags.start - lead, 0) - lags.zero
    offsets = []
    for at_s in (played.first_s, played.last_s):
        at = round(direct + (at_s - played.passes[0].start_s) * rate)
        alike, found = _slide(made, _cut(y, at - slack, at + len(made) + slack), rate, marker)
        if alike < ALIKE:
            return None
        offsets.append((found - slack) / rate)
    return offsets[0], offsets[1]


def _slide(one: Array, two: Array, rate: int, marker: Marker) -> tuple[float, float]:
    """Where `one` lies in the longer `two`, and how alike they are there, in the marker's band. [1,
    samples]"""
    from scipy import fft

    size, finer = fft.next_fast_len(len(two) + len(one), real=True), 16
    hz = np.fft.rfftfreq(size, 1 / rate)
    inside = (hz > 0.9 * marker.low_hz) & (hz < 1.1 * marker.high_hz)
    A, B = (np.where(inside, fft.rfft(part, size), 0) for part in (one, two))
    cross = fft.irfft(B * A.conj(), size)[: len(two) - len(one) + 1]
    at = int(np.argmax(np.abs(cross)))
    there = fft.irfft(B, size)[at : at + len(one)]
    energy = float(np.sqrt(np.sum(fft.irfft(A, size) ** 2) * np.sum(there**2)))
    # The same correlation again, sixteen times finer, over a few samples around its top.
    k = np.flatnonzero(inside)
    fine = at + np.arange(-2 * finer, 2 * finer + 1) / finer
    values = ((B * A.conj())[k] @ np.exp(2j * np.pi * np.outer(k, fine) / size)).real
    i = int(np.clip(np.argmax(values), 1, len(values) - 2))
    left, top, right = values[i - 1 : i + 2]
    bend = left - 2 * top + right
    peak = fine[i] + (0.5 * (left - right) / bend / finer if bend else 0.0)
    return (float(cross[at] / energy) if energy else 0.0), float(peak)


def _cut(y: Array, first: int, last: int) -> Array:
    """y[first:last], zeros where the record has nothing."""
    inside = y[max(first, 0) : max(last, 0)]
    return np.pad(inside, (max(-first, 0), last - max(first, 0) - len(inside)))
