"""An impulse response of the simulated room, so that it goes through the same analysis as a
recording.

Every mirrored path within reach is a pulse at its own time with its own level in each octave; what
has been scattered, and what is mirrored beyond reach, is noise under the simulated energy-time
curve. Energies add up to the curves that the decay was fitted to, so what `decays` reads from it
can be held against them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from roomcheck.measure import ImpulseResponse
from roomcheck.predict.rays.images import Paths
from roomcheck.predict.rays.scene import Scene

Real = NDArray[np.float64]

RATE_HZ = 48_000
_LEAD_S = 0.1
_FLOOR_DB = -80.0
"""Noise that is laid under it, against the densest part of the tail: recordings have a floor
too."""
_CROSSOVER_OCTAVES = 1 / 3
_MARGIN_S = 0.4
"""Beyond the end: filters ring before the direct sound, and what wraps round must fall there."""
_ORDERLY = 2
"""Images of higher order come with either sign: all of one sign would pile up at the lowest
frequencies."""


def simulated_response(
    scene: Scene,
    alphas: Real,
    bands_hz: tuple[float, ...],
    scatter: Real,
    pair: int,
    *,
    wanted: NDArray[np.bool_] | None = None,
    seed: int = 1,
) -> ImpulseResponse:
    """The response at one pair of a scene whose images and rays are followed.

    Parameters
    ----------
    scene : Scene
        With `pairs` and `bundles`: of a box.
    alphas : (materials, bands)
        [1] or [m2]
    bands_hz : tuple of float
        Octaves of the scene. [Hz]
    scatter : (bands,)
        [1]
    pair : int
        Which of `scene.pairs`.
    wanted : (bands,) bool or None
        Octaves to simulate, all where None; the others stay silent.
    seed : int
        Of the noise and of the signs of late images.

    Returns
    -------
    ImpulseResponse
        At 48 kHz, the source sounding 0.1 s after its start.

    Raises
    ------
    ValueError
        The scene follows no pairs or no rays.
    """
    if not scene.pairs or scene.bundles is None:
        raise ValueError("scene: found no followed pairs or rays, needed a box with both")
    end = int((_LEAD_S + scene.bundles.times_s[-1]) * RATE_HZ)
    size = end + int(_MARGIN_S * RATE_HZ)
    rng = np.random.default_rng(seed)
    grains, hiss = (np.fft.rfft(rng.standard_normal(size)) for _ in range(2))
    f = np.asarray(np.fft.rfftfreq(size, 1 / RATE_HZ), dtype=np.float64)
    clock = np.arange(size) / RATE_HZ - _LEAD_S
    path = scene.pairs[pair]
    signs = np.where(
        path.meets.sum(axis=1) <= _ORDERLY, 1.0, rng.choice([-1.0, 1.0], len(path.length_m))
    )
    total = np.zeros(size)
    for i, band in enumerate(bands_hz):
        if wanted is not None and not wanted[i]:
            continue
        images, times, rest = scene.parts(path, alphas[:, i], i, float(scatter[i]))
        share = _skirt(f, band)
        # White noise under sqrt(power / rate) has that power; the filter takes the same share of it
        # as of pulses.
        envelope = np.sqrt(np.interp(clock, times, rest, left=0.0) / RATE_HZ)
        floor = envelope.max() * 10 ** (_FLOOR_DB / 20)
        total += np.fft.irfft(
            _pulses(path, images, signs, scene.conditions.speed_m_s, size) * share, size
        )
        total += envelope * np.fft.irfft(grains * share, size) + floor * np.fft.irfft(
            hiss * share, size
        )
    return ImpulseResponse(samples=total[:end], rate_hz=RATE_HZ)


def _pulses(
    path: Paths, energy: Real, signs: Real, speed: float, size: int
) -> NDArray[np.complex128]:
    """Spectrum of all images, each shared between its two nearest samples."""
    at = (path.length_m / speed + _LEAD_S) * RATE_HZ
    low = at.astype(np.intp)
    inside = low < size - 1
    low, part, height = low[inside], (at - low)[inside], (signs * np.sqrt(energy))[inside]
    train = np.bincount(low, (1 - part) * height, size) + np.bincount(low + 1, part * height, size)
    return np.asarray(np.fft.rfft(train))


def _skirt(f: Real, band_hz: float) -> Real:
    """Amplitude of an octave band that crosses over to its neighbours within a third of an octave,
    (frequencies,).

    Squares add up to one; wider skirts would lend each band its neighbour's decay.
    """
    beyond = np.abs(np.log2(np.maximum(f, 1e-9) / band_hz)) - 0.5
    return np.asarray(np.cos(np.pi / 2 * np.clip(beyond / _CROSSOVER_OCTAVES + 0.5, 0.0, 1.0)))
