"""The standing waves of a room: found in all positions at once, checked, and matched to what its
size predicts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.modes.box_modes import box_modes, edges_m, expected_count, size_of
from roomcheck.analyse.modes.low_end import LowEnd, low_end
from roomcheck.analyse.modes.mode_names import Place, named
from roomcheck.analyse.modes.poles import Poles, find_poles
from roomcheck.analyse.modes.results import BoxMode, Modes, ModesReason, RoomMode
from roomcheck.facts import Fact, fact
from roomcheck.geometry import Room
from roomcheck.measure import ImpulseResponse

LOWEST_HZ = 16.0
MOST_MODES = 32.0
"""Looked for up to where a room of this size has about so many: higher up they lie too close to be
told apart. [1]"""

LATE_S = 0.15
"""When it is asked what still rings (common practice: 150 to 200 ms). [s]"""

LEAST_RANGE_DB = 5.0
LEAST_KNOWN = 0.4
"""A decay whose standard uncertainty is a larger part of it is not given. [1]"""

LATER_LEAST_DB, LATER_BY = 22.0, 0.6
"""A mode of so much range must be found again by a fit that begins 0.6 of the usual time constant
later. [dB], [1]"""

FAST = 6.0
"""What dies so much faster than the usual mode and is not found again is no mode but a leftover of
the fit. [1]"""

HUM = 6.0
"""A tone that stands at the end of the record by so much over the noise and over what a decay would
leave. [1]"""

DOUBTFUL = 4.0
"""A faint line that rings so much longer than the room's octaves is not believed (common practice).
[1]"""

MOST_REFUTED = 0.6
"""For each mode that is found again so many may not be, before all are disbelieved. [1]"""

NEPER60 = 3 * math.log(10)

Array = NDArray[np.float64]


def room_modes(
    responses: Sequence[ImpulseResponse],
    *,
    room: Room,
    transition_hz: float,
    speed_m_s: float,
    places: Sequence[Place] = (),
    from_hz: float = LOWEST_HZ,
    usual_s: float | None = None,
) -> Modes:
    """The standing waves below the transition frequency, with their decays.

    Parameters
    ----------
    responses : sequence of ImpulseResponse
        Of one room at one visit, at one rate; more positions tell more modes apart.
    room : Room
        A box gets its modes named; of another plan they are listed.
    transition_hz : float
        2000 sqrt(T/V). [Hz]
    speed_m_s : float
        Of sound at the visit's temperature. [m/s]
    places : sequence of Place
        One a response: where given, the strength at each position helps to name a mode.
    from_hz : float
        Below it the source gives nothing. [Hz]
    usual_s : float, optional
        Decay of the room's octaves: what is faint and rings four times as long is hum or noise. [s]

    Returns
    -------
    Modes
        With none and a reason where nothing in the records holds still as a mode does.
    """
    top = min(transition_hz, _countable_hz(room, speed_m_s))
    low = low_end(responses, top) if top > 1.3 * from_hz else None
    if low is None:
        why = (
            fact(ModesReason.RECORDS_TOO_SHORT, to_hz=top)
            if top > 1.3 * from_hz
            else fact(ModesReason.NO_SPAN, from_hz=from_hz, to_hz=top)
        )
        return Modes(
            from_hz=from_hz,
            to_hz=top,
            found=(),
            not_found=(),
            positions=len(responses),
            reasons=(why,),
        )
    poles = find_poles(low.y, low.rate_hz, 1.0)
    found, refuted = _told(low, poles, from_hz, top)
    believed = [pair for pair in found if not _doubtful(pair[1], usual_s)]
    reasons = (
        *_doubts(len(found) - len(believed)),
        *_remarks(low, believed, refuted, top, transition_hz),
    )
    found = believed
    if _no_modes(found, refuted):
        found = []
    size = size_of(room)
    if size is None:
        reasons += (fact(ModesReason.NOT_A_BOX),)
        modes, missing = [mode for _, mode in found], tuple[BoxMode, ...]()
    else:
        expected = [
            m for m in box_modes(size, speed_m_s, 1.05 * top) if m.frequency_hz >= 0.95 * from_hz
        ]
        modes, missing = named(found, expected, poles, room, places, (from_hz, top))
    return Modes(
        from_hz=from_hz,
        to_hz=top,
        found=tuple(modes),
        not_found=missing,
        positions=len(responses),
        reasons=reasons,
    )


def _doubtful(mode: RoomMode, usual_s: float | None) -> bool:
    return (
        usual_s is not None and mode.range_db < LATER_LEAST_DB and mode.decay_s > DOUBTFUL * usual_s
    )


def _doubts(count: int) -> tuple[Fact[ModesReason], ...]:
    return (fact(ModesReason.FAINT_LINES, count=count, times=DOUBTFUL),) if count else ()


def _no_modes(found: list[tuple[int, RoomMode]], refuted: int) -> bool:
    """Too many would-be modes do not hold still: what is there is no sum of standing waves."""
    checked = sum(mode.checked for _, mode in found)
    return refuted > max(MOST_REFUTED * checked, 2)


def _countable_hz(room: Room, speed_m_s: float) -> float:
    """Where the room has had its first `MOST_MODES` modes. [Hz]"""
    low, high = 1.0, 2000.0
    for _ in range(40):
        middle = math.sqrt(low * high)
        many = (
            expected_count(room.volume_m3, room.surface_m2, edges_m(room), speed_m_s, middle)
            > MOST_MODES
        )
        low, high = (low, middle) if many else (middle, high)
    return high


def _told(
    low: LowEnd, poles: Poles, from_hz: float, top_hz: float
) -> tuple[list[tuple[int, RoomMode]], int]:
    """The poles that are modes, by their index, and how many were refuted by a fit that begins
    later."""
    inside = np.flatnonzero((poles.frequency_hz >= from_hz) & (poles.frequency_hz <= top_hz))
    if not inside.size:
        return [], 0
    noise = np.maximum(low.noise_at(poles.frequency_hz), _rest_at(low, poles))
    ranges = _range_db(low, poles, noise)
    later, hum = _later(low, poles), _hums(low, poles)
    usual = float(np.median(poles.damping_per_s[inside]))
    strongest = float(poles.energy()[inside].max())
    found, refuted = [], 0
    for k in inside:
        f, delta = float(poles.frequency_hz[k]), float(poles.damping_per_s[k])
        f_u = float(poles.frequency_sd_hz[k] * math.sqrt(noise[k]))
        delta_u = float(poles.damping_sd_per_s[k] * math.sqrt(noise[k]))
        if hum[k] or ranges[k] < LEAST_RANGE_DB or delta_u > LEAST_KNOWN * delta:
            continue
        again = _again(later, f, delta, f_u, delta_u)
        if not again and ranges[k] >= LATER_LEAST_DB:
            refuted += 1
            continue
        if not again and delta > FAST * usual:
            continue
        at_start = math.exp(2 * delta * low.delay_s)
        mode = RoomMode(
            frequency_hz=f,
            frequency_u_hz=f_u,
            decay_s=NEPER60 / delta,
            decay_u_s=NEPER60 / delta * delta_u / delta,
            level_db=10 * math.log10(float(poles.energy()[k]) * at_start / strongest),
            range_db=float(ranges[k]),
            late_db=_late_db(low, f, delta),
            checked=again,
        )
        found.append((int(k), mode))
    highest = max((mode.level_db for _, mode in found), default=0.0)
    return [(k, replace(mode, level_db=mode.level_db - highest)) for k, mode in found], refuted


def _range_db(low: LowEnd, poles: Poles, noise: Array) -> Array:
    """Peak of each mode in the spectrum of the whole record over the noise there, mean over the
    channels."""
    frames, channels = low.y.shape
    seconds = frames / low.rate_hz
    peak = 4 * poles.energy() * poles.damping_per_s / channels
    peak *= (
        -np.expm1(-poles.damping_per_s * seconds) / (2 * poles.damping_per_s) * low.rate_hz
    ) ** 2
    return np.asarray(10 * np.log10(np.maximum(peak / (frames * noise), 1e-30)))


def _rest_at(low: LowEnd, poles: Poles) -> Array:
    """Power of what the fit leaves around each pole, re white noise of the records' own
    variance."""
    frames = len(poles.rest)
    size = 2 * frames
    power = (np.abs(np.fft.rfft(poles.rest, size, axis=0)) ** 2).mean(axis=1) / frames
    width = max(round(4.0 * size / low.rate_hz), 3)
    smooth = np.convolve(power, np.ones(width) / width, "same")
    return np.asarray(np.interp(poles.frequency_hz, np.fft.rfftfreq(size, 1 / low.rate_hz), smooth))


def _later(low: LowEnd, poles: Poles) -> tuple[Poles, float]:
    """A fit that knows nothing of the first and begins a time constant later."""
    shift_s = LATER_BY * float(np.median(1 / poles.damping_per_s))
    begin = int(min(shift_s * low.rate_hz, len(low.y) // 4))
    return find_poles(low.y[begin:], low.rate_hz, 1.0), begin / low.rate_hz


def _hums(low: LowEnd, poles: Poles) -> NDArray[np.bool_]:
    """Which poles are steady tones: at the end of the record as loud in its second half as in its
    first, where their decay would have left less."""
    half = len(low.tail) // 2
    window = np.hanning(half + 2)[1:-1]
    t = low.tail_s + np.arange(2 * half) / low.rate_hz
    beside = np.array([-10.0, -7.0, 7.0, 10.0])
    found = np.zeros(poles.size, dtype=np.bool_)
    for k, (f, delta) in enumerate(zip(poles.frequency_hz, poles.damping_per_s, strict=True)):
        wave = np.exp(-2j * np.pi * f * t)[:, None] * low.tail[: 2 * half]
        first, second = (
            float(np.mean(np.abs(window @ part) ** 2)) for part in (wave[:half], wave[half:])
        )
        left = float(np.sum(window * np.exp(-delta * t[half:])) ** 2) / 4
        left *= float(np.mean(poles.cosine[k] ** 2 + poles.sine[k] ** 2))
        noise = float(np.sum(window**2) * np.median(low.noise_at(f + beside)))
        found[k] = second > HUM * (left + noise) and second > 0.5 * first
    return found


def _again(later: tuple[Poles, float], f: float, delta: float, f_u: float, delta_u: float) -> bool:
    poles = later[0]
    if not poles.size:
        return False
    apart = np.abs(poles.frequency_hz - f)
    bandwidth = delta / np.pi
    near = apart <= np.clip(
        3 * np.hypot(poles.frequency_sd_hz, f_u), 0.1 * bandwidth, 0.35 * bandwidth
    )
    slower = np.abs(poles.damping_per_s - delta)
    alike = slower <= np.clip(
        3 * np.hypot(poles.damping_sd_per_s, delta_u), 0.15 * delta, 0.35 * delta
    )
    return bool((near & alike).any())


def _late_db(low: LowEnd, f: float, delta: float) -> float | None:
    """How far the spectrum from 150 ms on stands at a mode over the median of two thirds of an
    octave around it."""
    begin = max(round((LATE_S - low.delay_s) * low.rate_hz), 0)
    part = low.y[begin:]
    if len(part) < 8:
        return None
    size = 8 * len(part)
    power = (np.abs(np.fft.rfft(part, size, axis=0)) ** 2).mean(axis=1) / len(part)
    hz = np.fft.rfftfreq(size, 1 / low.rate_hz)
    at = float(np.interp(f, hz, power))
    width = max(delta / np.pi, 1.0)
    beside = (hz > f * 2 ** (-1 / 3)) & (hz < f * 2 ** (1 / 3)) & (np.abs(hz - f) > 1.5 * width)
    if not beside.any() or at < 4 * float(low.noise_at(np.array([f]))[0]):
        return None
    return 10 * math.log10(at / max(float(np.median(power[beside])), 1e-30))


def _remarks(
    low: LowEnd,
    found: list[tuple[int, RoomMode]],
    refuted: int,
    top_hz: float,
    transition_hz: float,
) -> tuple[Fact[ModesReason], ...]:
    remarks = []
    if _no_modes(found, refuted):
        candidates = refuted + len(found)
        remarks.append(
            fact(ModesReason.NOT_STABLE, refuted=refuted, candidates=candidates, to_hz=top_hz)
        )
    elif refuted:
        remarks.append(fact(ModesReason.NOT_SEPARATED, count=refuted))
    if top_hz < 0.99 * transition_hz:
        remarks.append(fact(ModesReason.CROWDED, to_hz=top_hz, transition_hz=transition_hz))
    if found and not low.proved:
        remarks.append(fact(ModesReason.RECORDS_END))
    if low.y.shape[1] < 3:
        remarks.append(fact(ModesReason.FEW_POSITIONS))
    return tuple(remarks)
