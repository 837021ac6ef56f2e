"""A second opinion on a simulated decay: pyroomacoustics' image sources and ray tracing, its traps stepped around.

It answers nothing that a client sees; it is there to disagree. One flat band at a time is simulated, so nothing is
extrapolated between bands and no band leaks into the next; air is put on the energy afterwards, by ISO 9613-1; the
40 samples that its delay filter puts in front are taken off; levels are brought to a source of unit energy.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Point, Room
from roomcheck.predict.transport import decay_fit_s

Real = NDArray[np.float64]

RATE_HZ = 16_000
SPEED_M_S = 343.0
_ORDER = 3
_RAYS = 20_000
_RECEIVER_M = 0.3


def traced_power(
    room: Room,
    alphas: dict[str, float],
    scatter: float,
    ends: tuple[Point, Point],
    *,
    air_per_m: float = 0.0,
    seed: int = 1,
) -> tuple[Real, Real]:
    """Energy-time curve between two places, by third-order image sources and traced rays after them.

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
        From when the source sounded; energy of a unit source per square metre and second. [s], [1/(m2 s)]
    """
    import pyroomacoustics as pra

    pra.random.seed(seed)
    pra.constants.set("c", SPEED_M_S)
    model = _model(pra, room, alphas, scatter)
    model.set_ray_tracing(n_rays=_RAYS, receiver_radius=_RECEIVER_M)
    model.add_source(list(ends[0]))
    model.add_microphone(list(ends[1]))
    model.compute_rir()
    latency = pra.constants.get("frac_delay_length") // 2
    response = np.asarray(model.rir[0][0], dtype=float)[latency:]
    times = np.arange(len(response)) / RATE_HZ
    # Amplitude there is 1/r where a unit source has 1/(4 pi r^2) of energy.
    return times, response**2 * RATE_HZ / (4 * np.pi) * np.exp(-air_per_m * SPEED_M_S * times)


def traced_decay_s(
    room: Room, alphas: dict[str, float], scatter: float, ends: tuple[tuple[Point, Point], ...], air_per_m: float = 0.0
) -> float:
    """T20, mean over several places: at low scattering one place alone is not to be trusted. [s]"""
    found = []
    for i, pair in enumerate(ends):
        times, power = traced_power(room, alphas, scatter, pair, air_per_m=air_per_m, seed=i + 1)
        left = np.cumsum(power[::-1])[::-1]
        last = int(np.searchsorted(-left, -left[0] * 1e-6))
        T = decay_fit_s(times[:last], left[:last])
        if T is not None:
            found.append(T)
    if not found:
        raise ValueError("ends: no pair gave 25 dB of decay")
    return float(np.mean(found))


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
    model.extrude(room.height_m, materials={"floor": material["floor"], "ceiling": material["ceiling"]})
    return model
