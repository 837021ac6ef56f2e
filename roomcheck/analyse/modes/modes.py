"""The standing waves of a room: found in all positions at once, checked, and matched to what its
size predicts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.modes.box_modes import box_modes, edges_m, expected_count, size_of
from roomcheck.analyse.modes.confirm import crowd_holds, evidence
from roomcheck.analyse.modes.damped import Fit
from roomcheck.analyse.modes.lasting import Lasting, lasting
from roomcheck.analyse.modes.low_end import LowEnd, low_end
from roomcheck.analyse.modes.mode_names import Place, like_the_room, named
from roomcheck.analyse.modes.poles import MOST_POLES, Poles, find_fit, known
from roomcheck.analyse.modes.results import BoxMode, Modes, ModesReason, RoomMode
from roomcheck.analyse.modes.subspace import Subspaces
from roomcheck.facts import Fact, fact
from roomcheck.geometry import Room
from roomcheck.measure import ImpulseResponse

LOWEST_HZ = 16.0
MOST_MODES = 32.0
"""Looked for up to where a room of this size has about so many: higher up they lie too close to be
told apart. [1]"""

LATE_S = 0.15
"""When it is asked what still rings (common practice: 150 to 200 ms). [s]"""

LEAST_RANGE_DB = 10.0
LEAST_KNOWN = 0.4
"""A decay whose standard uncertainty is a larger part of it is not given. [1]"""

STRONG_DB = 20.0
"""A pole of so much range that is no mode is said to be one that could not be separated. [dB]"""

HUM = 6.0
"""A tone that stands at the end of the record by so much over the noise and over what a decay would
leave. [1]"""

DOUBTFUL = 4.0
"""A faint line that rings so much longer than the room's octaves is not believed (common practice).
[1]"""

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
    none = partial(
        Modes, from_hz=from_hz, to_hz=top, found=(), not_found=(), positions=len(responses)
    )
    if top <= 1.3 * from_hz:
        return none(reasons=(fact(ModesReason.NO_SPAN, from_hz=from_hz, to_hz=top),))
    low = low_end(responses, top)
    if low is None:
        return none(reasons=(fact(ModesReason.RECORDS_TOO_SHORT, to_hz=top),))
    subspaces = Subspaces(low.y, low.rate_hz, 1.0, MOST_POLES)
    fit = find_fit(subspaces)
    poles, lines = known(fit, 1.0), lasting(low, from_hz, top)
    told, unsure, poles = _told(low, fit, subspaces, (poles, lines), (from_hz, top))
    believed = [pair for pair in told if not _doubtful(pair[1], usual_s)]
    expected = _expected(room, speed_m_s, from_hz, top)
    found = like_the_room(believed, expected, poles, room, places) if expected else believed
    modes, missing = named(found, expected, poles, room, places, (from_hz, top))
    return Modes(
        from_hz=from_hz,
        to_hz=top,
        found=tuple(modes),
        not_found=missing,
        positions=len(responses),
        reasons=(
            *_left_out(ModesReason.FAINT_LINES, len(told) - len(believed), times=DOUBTFUL),
            *_left_out(ModesReason.UNLIKE_THE_ROOM, len(believed) - len(found)),
            *_remarks(low, bool(found), unsure, top, transition_hz),
            *(() if size_of(room) else (fact(ModesReason.NOT_A_BOX),)),
        ),
    )


def _expected(room: Room, speed_m_s: float, from_hz: float, to_hz: float) -> tuple[BoxMode, ...]:
    """Standing waves of a box a little beyond the span searched; none of another plan."""
    size = size_of(room)
    waves = box_modes(size, speed_m_s, 1.05 * to_hz) if size else ()
    return tuple(wave for wave in waves if wave.frequency_hz >= 0.95 * from_hz)


def _doubtful(mode: RoomMode, usual_s: float | None) -> bool:
    return usual_s is not None and mode.range_db < STRONG_DB and mode.decay_s > DOUBTFUL * usual_s


def _left_out(kind: ModesReason, count: int, **values: float) -> tuple[Fact[ModesReason], ...]:
    return (fact(kind, count=count, **values),) if count else ()


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
    low: LowEnd,
    fit: Fit,
    subspaces: Subspaces,
    heard: tuple[Poles, Lasting],
    span_hz: tuple[float, float],
) -> tuple[list[tuple[int, RoomMode]], int, Poles]:
    """What are modes, by their index, how many strong poles are none, and all poles and notes that
    the index is of."""
    poles, lines = heard
    if not poles.size:
        return [], 0, poles
    noise = np.maximum(low.noise_at(poles.frequency_hz), _rest_at(low, poles))
    says = evidence(low, fit, subspaces, noise)
    both = _with(poles, lines)
    noise = np.concatenate([noise, low.noise_at(lines.frequency_hz)])
    ranges = _range_db(low, both, noise)
    inside = (both.frequency_hz >= span_hz[0]) & (both.frequency_hz <= span_hz[1])
    sounds = inside & (ranges >= LEAST_RANGE_DB)
    count = poles.size
    poles_at = np.flatnonzero(sounds[:count])
    sounds[poles_at] = ~_hums(low, poles, poles_at)  # a hum does not fall, as each note does
    strong = sounds[:count] & (ranges[:count] >= STRONG_DB)
    single = fit.records.channels == 1
    holds = sounds[:count] & says.holds(single=single) & (says.damping_u <= LEAST_KNOWN)
    if single:
        holds = crowd_holds(poles.frequency_hz, strong, holds)
    stands = sounds[count:] & (lines.damping_u <= LEAST_KNOWN) & ~_among(lines, poles, holds)
    given_at = np.flatnonzero(np.concatenate([holds, stands]))
    unsure = int(np.sum(strong & ~holds & ~_near(poles, lines, stands)))
    if not given_at.size:
        return [], unsure, both
    u_hz = says.frequency_u * poles.damping_per_s / math.pi
    known_to = (
        np.concatenate([u_hz, lines.frequency_u_hz]),
        np.concatenate([says.damping_u, lines.damping_u]),
    )
    return _as_modes(low, both, ranges, known_to, given_at), unsure, both


def _with(poles: Poles, lines: Lasting) -> Poles:
    """Poles and notes as one list, the notes last."""
    return Poles(
        np.concatenate([poles.frequency_hz, lines.frequency_hz]),
        np.concatenate([poles.damping_per_s, lines.damping_per_s]),
        np.concatenate([poles.cosine, lines.amplitude.real]),
        np.concatenate([poles.sine, -lines.amplitude.imag]),
        np.concatenate([poles.frequency_sd_hz, lines.frequency_u_hz]),
        np.concatenate([poles.damping_sd_per_s, lines.damping_u * lines.damping_per_s]),
        poles.rest,
    )


def _among(lines: Lasting, poles: Poles, holds: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Which notes are modes already, to a bandwidth of either. (notes,)"""
    apart_hz = np.abs(lines.frequency_hz[:, None] - poles.frequency_hz[holds])
    width_hz = np.maximum(lines.damping_per_s[:, None], poles.damping_per_s[holds]) / math.pi
    return np.asarray((apart_hz <= width_hz).any(axis=1))


def _near(poles: Poles, lines: Lasting, stands: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Which poles a note that is a mode accounts for. (poles,)"""
    apart_hz = np.abs(poles.frequency_hz[:, None] - lines.frequency_hz[stands])
    return np.asarray((apart_hz <= lines.damping_per_s[stands] / math.pi).any(axis=1))


def _as_modes(
    low: LowEnd,
    poles: Poles,
    ranges_db: Array,
    known_to: tuple[Array, Array],
    given_at: NDArray[np.intp],
) -> list[tuple[int, RoomMode]]:
    """Some of the poles as modes; frequencies known to [Hz], decays relative [1]."""
    u_hz, decay_u = known_to
    at_onset = poles.energy() * np.exp(2 * poles.damping_per_s * low.delay_s)
    levels = 10 * np.log10(at_onset / at_onset[given_at].max())
    late = _late_db(low, poles.frequency_hz[given_at], poles.damping_per_s[given_at])
    found = []
    for k, late_db in zip(given_at.tolist(), late, strict=True):
        decay_s = NEPER60 / float(poles.damping_per_s[k])
        mode = RoomMode(
            frequency_hz=float(poles.frequency_hz[k]),
            frequency_u_hz=float(u_hz[k]),
            decay_s=decay_s,
            decay_u_s=decay_s * float(decay_u[k]),
            level_db=float(levels[k]),
            range_db=float(ranges_db[k]),
            late_db=late_db,
        )
        found.append((k, mode))
    return sorted(found, key=lambda pair: pair[1].frequency_hz)


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


def _hums(low: LowEnd, poles: Poles, asked: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Which of some poles are steady tones: at the end of the record as loud in its second half as
    in its first, where their decay would have left less."""
    half = len(low.tail) // 2
    window = np.hanning(half + 2)[1:-1]
    t = low.tail_s + np.arange(2 * half) / low.rate_hz
    hz, delta = poles.frequency_hz[asked], poles.damping_per_s[asked]
    turned = np.exp(-2j * np.pi * np.outer(hz, t)) * np.tile(window, 2)
    first, second = (
        np.mean(np.abs(turned[:, part] @ low.tail[part]) ** 2, axis=1)
        for part in (slice(half), slice(half, 2 * half))
    )
    left = (np.exp(-np.outer(delta, t[half:])) @ window) ** 2 / 4
    left *= np.mean(poles.cosine[asked] ** 2 + poles.sine[asked] ** 2, axis=1)
    beside = hz[:, None] + np.array([-10.0, -7.0, 7.0, 10.0])
    noise = float(np.sum(window**2)) * np.median(low.noise_at(beside), axis=1)
    return np.asarray((second > HUM * (left + noise)) & (second > 0.5 * first))


def _late_db(low: LowEnd, modes: Array, dampings: Array) -> list[float | None]:
    """How far the spectrum from 150 ms on stands at each mode over the median of two thirds of an
    octave around it; None where that is noise."""
    part = low.y[max(round((LATE_S - low.delay_s) * low.rate_hz), 0) :]
    if len(part) < 8:
        return [None] * len(modes)
    size = 8 * len(part)
    power = (np.abs(np.fft.rfft(part, size, axis=0)) ** 2).mean(axis=1) / len(part)
    hz = np.fft.rfftfreq(size, 1 / low.rate_hz)
    stands: list[float | None] = []
    for f, delta in zip(modes, dampings, strict=True):
        at = float(np.interp(f, hz, power))
        width = max(delta / np.pi, 1.0)
        beside = (hz > f * 2 ** (-1 / 3)) & (hz < f * 2 ** (1 / 3)) & (np.abs(hz - f) > 1.5 * width)
        if not beside.any() or at < 4 * float(low.noise_at(f)):
            stands.append(None)
            continue
        stands.append(10 * math.log10(at / max(float(np.median(power[beside])), 1e-30)))
    return stands


def _remarks(
    low: LowEnd, found: bool, unsure: int, top_hz: float, transition_hz: float
) -> tuple[Fact[ModesReason], ...]:
    remarks = []
    if unsure and not found:
        remarks.append(fact(ModesReason.NOT_STABLE, refuted=unsure, to_hz=top_hz))
    elif unsure:
        remarks.append(fact(ModesReason.NOT_SEPARATED, count=unsure))
    if top_hz < 0.99 * transition_hz:
        remarks.append(fact(ModesReason.CROWDED, to_hz=top_hz, transition_hz=transition_hz))
    if found and not low.proved:
        remarks.append(fact(ModesReason.RECORDS_END))
    if low.y.shape[1] < 3:
        remarks.append(fact(ModesReason.FEW_POSITIONS))
    return tuple(remarks)
