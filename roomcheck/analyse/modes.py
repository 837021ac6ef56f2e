"""The standing waves of a room: found in all positions at once, checked, and matched to what its size predicts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.box_modes import BoxMode, box_modes, edges_m, expected_count, shape_at, size_of
from roomcheck.analyse.low_end import LowEnd, low_end
from roomcheck.analyse.poles import Poles, find_poles
from roomcheck.analyse.results import Modes, RoomMode
from roomcheck.geometry import Point, Room
from roomcheck.measure.signals import ImpulseResponse

LOWEST_HZ = 16.0
MOST_MODES = 32.0
"""Looked for up to where a room of this size has about so many: higher up they lie too close to be told apart. [1]"""

LATE_S = 0.15
"""When it is asked what still rings (common practice: 150 to 200 ms). [s]"""

LEAST_RANGE_DB = 5.0
LEAST_KNOWN = 0.4
"""A decay whose standard uncertainty is a larger part of it is not given. [1]"""

LATER_LEAST_DB, LATER_BY = 22.0, 0.6
"""A mode of so much range must be found again by a fit that begins 0.6 of the usual time constant later. [dB], [1]"""

MOST_REFUTED = 0.4
"""For each mode that is found again so many may not be, before all are disbelieved. [1]"""

NEPER60 = 3 * math.log(10)

MATCH_PCT = 4.0
"""How far windows, doors and yielding walls shift a standing wave from where rigid walls have it (common practice)."""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a response was taken. [m]"""

    source: Point
    microphone: Point


def room_modes(
    responses: Sequence[ImpulseResponse],
    *,
    room: Room,
    transition_hz: float,
    speed_m_s: float,
    places: Sequence[Place] = (),
    from_hz: float = LOWEST_HZ,
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

    Returns
    -------
    Modes
        With none and a reason where nothing in the records holds still as a mode does.
    """
    top = min(transition_hz, _countable_hz(room, speed_m_s))
    low = low_end(responses, top) if top > 1.3 * from_hz else None
    if low is None:
        why = (
            f"The records are silent or too short for the modes below {top:.0f} Hz; record until the room is silent."
            if top > 1.3 * from_hz
            else f"Between {from_hz:.0f} and {top:.0f} Hz there is no room for a mode."
        )
        return Modes(from_hz=from_hz, to_hz=top, found=(), not_found=(), positions=len(responses), reasons=(why,))
    poles = find_poles(low.y, low.rate_hz, 1.0)
    found, refuted = _told(low, poles, from_hz, top)
    reasons = _remarks(low, found, refuted, top, transition_hz)
    if _no_modes(found, refuted):
        found = []
    size = size_of(room)
    if size is None:
        reasons += ("The plan is no rectangle: which surfaces a mode stands between is not predicted, only listed.",)
        named, missing = [mode for _, mode in found], tuple[str, ...]()
    else:
        expected = [m for m in box_modes(size, speed_m_s, 1.05 * top) if m.frequency_hz >= 0.95 * from_hz]
        named, missing = _named(found, expected, poles, room, places, (from_hz, top))
    return Modes(
        from_hz=from_hz,
        to_hz=top,
        found=tuple(named),
        not_found=missing,
        positions=len(responses),
        reasons=reasons,
    )


def _no_modes(found: list[tuple[int, RoomMode]], refuted: int) -> bool:
    """Too many would-be modes do not hold still: what is there is no sum of standing waves."""
    checked = sum(mode.checked for _, mode in found)
    return refuted > max(MOST_REFUTED * checked, 2)


def _countable_hz(room: Room, speed_m_s: float) -> float:
    """Where the room has had its first `MOST_MODES` modes. [Hz]"""
    low, high = 1.0, 2000.0
    for _ in range(40):
        middle = math.sqrt(low * high)
        many = expected_count(room.volume_m3, room.surface_m2, edges_m(room), speed_m_s, middle) > MOST_MODES
        low, high = (low, middle) if many else (middle, high)
    return high


def _told(low: LowEnd, poles: Poles, from_hz: float, top_hz: float) -> tuple[list[tuple[int, RoomMode]], int]:
    """The poles that are modes, by their index, and how many were refuted by a fit that begins later."""
    inside = np.flatnonzero((poles.frequency_hz >= from_hz) & (poles.frequency_hz <= top_hz))
    if not inside.size:
        return [], 0
    noise = np.maximum(low.noise_at(poles.frequency_hz), _rest_at(low, poles))
    ranges = _range_db(low, poles, noise)
    later = _later(low, poles)
    strongest = float(poles.energy()[inside].max())
    found, refuted = [], 0
    for k in inside:
        f, delta = float(poles.frequency_hz[k]), float(poles.damping_per_s[k])
        f_u = float(poles.frequency_sd_hz[k] * math.sqrt(noise[k]))
        delta_u = float(poles.damping_sd_per_s[k] * math.sqrt(noise[k]))
        if ranges[k] < LEAST_RANGE_DB or delta_u > LEAST_KNOWN * delta:
            continue
        again = _again(later, f, delta, f_u, delta_u)
        if not again and ranges[k] >= LATER_LEAST_DB:
            refuted += 1
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
    return [(k, _with(mode, level_db=mode.level_db - highest)) for k, mode in found], refuted


def _with(mode: RoomMode, **fields: object) -> RoomMode:
    from dataclasses import replace

    return replace(mode, **fields)  # type: ignore[arg-type]


def _range_db(low: LowEnd, poles: Poles, noise: Array) -> Array:
    """Peak of each mode in the spectrum of the whole record over the noise there, mean over the channels."""
    frames, channels = low.y.shape
    seconds = frames / low.rate_hz
    peak = 4 * poles.energy() * poles.damping_per_s / channels
    peak *= (-np.expm1(-poles.damping_per_s * seconds) / (2 * poles.damping_per_s) * low.rate_hz) ** 2
    return np.asarray(10 * np.log10(np.maximum(peak / (frames * noise), 1e-30)))


def _rest_at(low: LowEnd, poles: Poles) -> Array:
    """Power of what the fit leaves around each pole, re white noise of the records' own variance."""
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


def _again(later: tuple[Poles, float], f: float, delta: float, f_u: float, delta_u: float) -> bool:
    poles = later[0]
    if not poles.size:
        return False
    apart = np.abs(poles.frequency_hz - f)
    bandwidth = delta / np.pi
    near = apart <= np.clip(3 * np.hypot(poles.frequency_sd_hz, f_u), 0.1 * bandwidth, 0.35 * bandwidth)
    slower = np.abs(poles.damping_per_s - delta)
    alike = slower <= np.clip(3 * np.hypot(poles.damping_sd_per_s, delta_u), 0.15 * delta, 0.35 * delta)
    return bool((near & alike).any())


def _late_db(low: LowEnd, f: float, delta: float) -> float | None:
    """How far the spectrum from 150 ms on stands at a mode over the median of two thirds of an octave around it."""
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
    low: LowEnd, found: list[tuple[int, RoomMode]], refuted: int, top_hz: float, transition_hz: float
) -> tuple[str, ...]:
    said = []
    if _no_modes(found, refuted):
        said.append(
            f"{refuted} of {refuted + len(found)} would-be modes move when the fit begins later: what sounds below "
            f"{top_hz:.0f} Hz does not decay as standing waves do, so none is given. Measure at more positions, "
            "with a source that reaches lower."
        )
    elif refuted:
        said.append(f"{refuted} more could not be told apart from their neighbours.")
    if top_hz < 0.99 * transition_hz:
        said.append(
            f"Looked for up to {top_hz:.0f} Hz; from there to {transition_hz:.0f} Hz they lie too close to be told "
            "apart."
        )
    if found and not low.proved:
        said.append("The records end before the low frequencies have died away; record a second longer.")
    if low.y.shape[1] < 3:
        said.append("Fewer than three positions: a mode with a node at each of them is missed.")
    return tuple(said)


def _named(
    found: list[tuple[int, RoomMode]],
    expected: Sequence[BoxMode],
    poles: Poles,
    room: Room,
    places: Sequence[Place],
    span_hz: tuple[float, float],
) -> tuple[list[RoomMode], tuple[str, ...]]:
    """Each mode with the standing wave that fits it best, one to one, and the predicted ones that none fits."""
    from scipy.optimize import linear_sum_assignment

    if not found or not expected:
        inside = [box for box in expected if span_hz[0] <= box.frequency_hz <= span_hz[1]]
        return [mode for _, mode in found], tuple(_label(box) for box in inside)
    far = 1e3
    cost = np.full((len(found), len(expected) + len(found)), 6.0)
    fits = np.full((len(found), len(expected)), far)
    for i, (k, mode) in enumerate(found):
        for j, box in enumerate(expected):
            off = abs(mode.frequency_hz - box.frequency_hz) / _allowed_hz(mode)
            if off <= 1:
                fits[i, j] = 4 * off**2 + 2 * (1 - _likeness(box, poles, k, room, places))
    cost[:, : len(expected)] = fits
    rows, columns = linear_sum_assignment(cost)
    named, taken = [], set()
    for i, j in zip(rows.tolist(), columns.tolist(), strict=True):
        mode = found[i][1]
        if j >= len(expected):
            named.append(mode)
            continue
        taken.add(j)
        box = expected[j]
        also = [expected[n] for n in np.argsort(fits[i]) if n != j and fits[i, n] < fits[i, j] + 0.5]
        named.append(
            _with(mode, box=box.name, box_hz=box.frequency_hz, others=tuple(_label(other) for other in also[:2]))
        )
    missing = tuple(
        _label(box) for j, box in enumerate(expected) if j not in taken and span_hz[0] <= box.frequency_hz <= span_hz[1]
    )
    return named, missing


def _allowed_hz(mode: RoomMode) -> float:
    return max(MATCH_PCT / 100 * mode.frequency_hz, mode.bandwidth_hz / 2, 3 * mode.frequency_u_hz)


def _label(box: BoxMode) -> str:
    return f"{box.frequency_hz:.1f} Hz {box.name}"


def _likeness(box: BoxMode, poles: Poles, k: int, room: Room, places: Sequence[Place]) -> float:
    """How much the strengths at the positions are those of a standing wave, 0 to 1; 1 where that cannot be asked.

    The squared correlation of the complex amplitudes with the product of the wave's shape at source and microphone.
    """
    if len(places) != poles.cosine.shape[1] or len(places) < 3:
        return 1.0
    shape = np.array([shape_at(box, room, p.source) * shape_at(box, room, p.microphone) for p in places])
    heard = poles.cosine[k] - 1j * poles.sine[k]
    energy = float(np.sum(np.abs(heard) ** 2) * np.sum(shape**2))
    return float(abs(shape @ heard) ** 2 / energy) if energy > 0 else 0.0
