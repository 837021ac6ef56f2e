"""A second opinion on a simulated decay: pyroomacoustics' image sources and ray tracing, its traps
stepped around.

It answers nothing that a client sees; it is there to disagree. One flat band at a time is
simulated, so nothing is extrapolated between bands and no band leaks into the next; air is put on
the energy afterwards, by ISO 9613-1; the 40 samples that its delay filter puts in front are taken
off; levels are brought to a source of unit energy.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Point, Room
from roomcheck.job import Job
from roomcheck.predict.answer.before_after import Reasons, State
from roomcheck.predict.answer.statistics import ends_of
from roomcheck.predict.rays.transport import decay_fit_s
from roomcheck.predict.reasons import SecondOpinion
from roomcheck.units import SPEED_OF_SOUND_M_S

Real = NDArray[np.float64]

RATE_HZ = 16_000
_ORDER = 3
_RAYS = 20_000
_RECEIVER_M = 0.3
MOST_ENDS = 3
AGREE = 0.15
"""Both models together: 11 % was seen from scattering 0.3 up, more below."""


class NoTracer(RoomcheckError):
    """The package that traces rays is not installed."""

    def __init__(self) -> None:
        super().__init__(
            "a second opinion needs the package pyroomacoustics, which is not installed: pip "
            "install pyroomacoustics (there are none for the newest Pythons yet; 3.11 to 3.14 have "
            "it). Everything else works without it."
        )


def tracer() -> Any:
    """Import the package that traces rays.

    Raises
    ------
    NoTracer
        It is not installed.
    """
    try:
        import pyroomacoustics
    except ImportError as problem:
        raise NoTracer from problem
    return pyroomacoustics


def traced_power(
    room: Room,
    alphas: dict[str, float],
    scatter: float,
    ends: tuple[Point, Point],
    *,
    air_per_m: float = 0.0,
    seed: int = 1,
) -> tuple[Real, Real]:
    """Energy-time curve between two places, by third-order image sources and traced rays after
    them.

    Parameters
    ----------
    room : Room
        Any simple plan.
    alphas : dict
        Coefficient of each face by its name, 0 to 1. [1]
    scatter : float
        Of every face. [1]
    ends : (source, microphone)
        [m]
    air_per_m : float
        Energy attenuation of air. [1/m]
    seed : int

    Returns
    -------
    times_s, power : (frames,)
        From when the source sounded; energy of a unit source per square metre and second. [s],
        [1/(m2 s)]
    """
    pra = tracer()
    pra.random.seed(seed)
    pra.constants.set("c", SPEED_OF_SOUND_M_S)
    model = _model(pra, room, alphas, scatter)
    model.set_ray_tracing(n_rays=_RAYS, receiver_radius=_RECEIVER_M)
    model.add_source(list(ends[0]))
    model.add_microphone(list(ends[1]))
    model.compute_rir()
    latency = pra.constants.get("frac_delay_length") // 2
    response = np.asarray(model.rir[0][0], dtype=float)[latency:]
    times = np.arange(len(response)) / RATE_HZ
    # Amplitude there is 1/r where a unit source has 1/(4 pi r^2) of energy.
    return times, response**2 * RATE_HZ / (4 * np.pi) * np.exp(
        -air_per_m * SPEED_OF_SOUND_M_S * times
    )


def traced_decay_s(
    room: Room,
    alphas: dict[str, float],
    scatter: float,
    ends: tuple[tuple[Point, Point], ...],
    air_per_m: float = 0.0,
    traced: Callable[[], None] | None = None,
) -> float:
    """T20, mean over several places: at low scattering one place alone is not to be trusted;
    `traced` is called after each. [s]"""
    found = []
    for i, pair in enumerate(ends):
        times, power = traced_power(room, alphas, scatter, pair, air_per_m=air_per_m, seed=i + 1)
        left = np.cumsum(power[::-1])[::-1]
        last = int(np.searchsorted(-left, -left[0] * 1e-6))
        T = decay_fit_s(times[:last], left[:last])
        if T is not None:
            found.append(T)
        if traced is not None:
            traced()
    if not found:
        raise ValueError("ends: no pair gave 25 dB of decay")
    return float(np.mean(found))


@dataclass(frozen=True, slots=True, kw_only=True)
class Second:
    """One octave by both programs."""

    band_hz: float
    """Octave [Hz]."""
    ours_s: float | None
    """Decay simulated here [s]."""
    traced_s: float | None
    """Decay traced by pyroomacoustics [s]."""
    opinion: SecondOpinion
    """What to make of the difference."""


def traces(job: Job, reasons: Reasons) -> int:
    """How many times `second_opinion` traces rays: each place in each band that can be foreseen."""
    return len(ends_of(job)[:MOST_ENDS]) * sum(not why for why in reasons)


def second_opinion(
    job: Job, state: State, log_scatter: Real, traced: Callable[[], None] | None = None
) -> tuple[Second, ...]:
    """Every band that can be foreseen, traced anew by pyroomacoustics.

    Parameters
    ----------
    job : Job
    state : State
        The room before or after.
    log_scatter : (bands,)
        [log]
    traced : callable or None
        Called after each of the `traces`.

    Returns
    -------
    tuple of Second
        Its walls have one coefficient each, the mean over what hangs on them: it knows no patches.
        Furniture and people act like air. None without a source and a microphone.
    """
    ends, room, air = ends_of(job)[:MOST_ENDS], job.room, state.air
    ours = state.formulas_s(log_scatter)[2]
    found = []
    for i, band in enumerate(state.bands_hz):
        if state.reasons[i] or not ends:
            continue
        alphas = np.exp(state.middle[:, i])
        loss = float(air.air_per_m[i] + state.scene.loose @ alphas / (4 * air.volume_m3))
        means = {f.name: min(_mean(state, f.name, f.area_m2, alphas), 1.0) for f in room.faces}
        try:
            theirs: float | None = traced_decay_s(
                room, means, float(np.exp(log_scatter[i])), ends, loss, traced
            )
        except ValueError:
            theirs = None
        mine = float(ours[i]) if np.isfinite(ours[i]) else None
        found.append(
            Second(band_hz=band, ours_s=mine, traced_s=theirs, opinion=_opinion(mine, theirs))
        )
    return tuple(found)


def _mean(state: State, face: str, area_m2: float, alphas: Real) -> float:
    on = [x for x in state.lined if x.face == face]
    return float(sum(x.amount * alphas[state.keys.index(x.absorption.key)] for x in on)) / area_m2


def _opinion(ours_s: float | None, traced_s: float | None) -> SecondOpinion:
    if ours_s is None or traced_s is None:
        return SecondOpinion.ONE_MISSING
    if abs(traced_s / ours_s - 1) <= AGREE:
        return SecondOpinion.AGREES
    return SecondOpinion.DIFFERS


def _model(pra: Any, room: Room, alphas: dict[str, float], scatter: float) -> Any:
    material = {name: pra.Material(alpha, scatter) for name, alpha in alphas.items()}
    model = pra.Room.from_corners(
        np.array(room.corners).T,
        fs=RATE_HZ,
        max_order=_ORDER,
        materials=[material[name] for name in room.wall_names],
        ray_tracing=True,
        air_absorption=False,
    )
    model.extrude(
        room.height_m, materials={"floor": material["floor"], "ceiling": material["ceiling"]}
    )
    return model
