"""Sweeps through made-up rooms, clean and with every fault on order: what is found, and what is
said in error.

Rooms are Gaussian decays of known time in each octave (short and long, with and without a direct
sound), shoeboxes of image sources, a hall, a booth; loudspeakers distort; things rattle; it hums
and blows. Clean takes must be kept. Each fault must be found: "repeat", or an error that names it.
Then the numbers: T20 and T30 after correction, against the same room without noise and without any
filter.

    python benchmarks/takes.py              everything, 10 draws a case
    python benchmarks/takes.py --draws 3    a quick look
    python benchmarks/takes.py --only rattle,voice
"""

from __future__ import annotations

import argparse
import time
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray
from scipy.signal import butter, fftconvolve, lfilter, resample_poly, sosfilt
from scipy.signal import resample as scipy_resample

from roomcheck.analyse import decays
from roomcheck.errors import RoomcheckError
from roomcheck.measure import ImpulseResponse, Sweep, TakeCheck, lay_out
from roomcheck.measure.checks.clock import resample
from roomcheck.measure.checks.listening import Decisions, listen
from roomcheck.measure.files.audio import Audio
from roomcheck.measure.files.played import Played
from roomcheck.standards.iec_61260_1_2014 import OCTAVES_HZ, band_edges_hz
from roomcheck.words import Reader, sentences

RATE_HZ = 48_000
C_M_S = 343.0

Array = NDArray[np.float64]
Rng = np.random.Generator


@dataclass(frozen=True, kw_only=True)
class Scene:
    """One take that is going to be made."""

    sweep: Sweep
    room: Array
    speaker: Callable[[Array], Array] = lambda x: x
    in_room: Callable[[Array, Array], Array] = lambda heard, played: heard
    recorder: Callable[[Array], Array] = lambda y: y
    noise_dbfs: float = -75.0
    lead_s: float = 0.7
    tail_s: float = 2.0
    level: float = 0.1
    bits: int = 16
    seed: int = 0


# rooms


def octave_room(
    rng: Rng, t_s: float, direct: float = 1.5, tilt: float = 0.1, low_s: float | None = None
) -> Array:
    """Gaussian decay whose time falls with frequency, after a direct sound; unit energy.
    (frames,)"""
    n = int((1.3 * max(t_s * 1.5, low_s or 0) + 0.05) * RATE_HZ)
    t, spectrum = np.arange(n) / RATE_HZ, np.fft.rfft(rng.standard_normal(n))
    hz = np.fft.rfftfreq(n, 1 / RATE_HZ)
    h = np.zeros(n)
    for band in (31.5, *OCTAVES_HZ, 16_000.0):
        low, high = band_edges_hz(band)
        here_s = low_s if low_s and band < 130 else t_s * (1000 / band) ** tilt
        h += np.fft.irfft(np.where((hz >= low) & (hz < high), spectrum, 0), n) * 10 ** (
            -3 * t / here_s
        )
    h /= np.sqrt(np.sum(h**2))
    h[0] += direct
    return h / np.sqrt(np.sum(h**2))


def shoebox(
    rng: Rng, size_m: tuple[float, float, float], absorption: float, seconds: float
) -> Array:
    """Image sources of a box with even walls, and a faint diffuse rest: sparse, with flutter.
    (frames,)"""
    source, mic = (np.array([rng.uniform(0.2, 0.8) * s for s in size_m]) for _ in range(2))
    reach = int(np.ceil(seconds * C_M_S / min(size_m) / 2)) + 1
    reach = min(reach, 24)
    axis = [
        [
            (2 * n * s + sign * x, abs(2 * n - (sign < 0)))
            for n in range(-reach, reach + 1)
            for sign in (1, -1)
        ]
        for s, x in zip(size_m, source, strict=True)
    ]
    places = [np.array([p for p, _ in a]) - m for a, m in zip(axis, mic, strict=True)]
    orders = [np.array([o for _, o in a]) for a in axis]
    d = np.sqrt(
        places[0][:, None, None] ** 2
        + places[1][None, :, None] ** 2
        + places[2][None, None, :] ** 2
    )
    k = orders[0][:, None, None] + orders[1][None, :, None] + orders[2][None, None, :]
    at = (d / C_M_S * RATE_HZ).ravel()
    gain = ((1 - absorption) ** (k / 2) / d).ravel()
    keep = at < seconds * RATE_HZ
    h = np.bincount(at[keep].astype(int), gain[keep] * rng.choice([0.7, 1.0], keep.sum()))
    h = sosfilt(butter(2, 80, "high", fs=RATE_HZ, output="sos"), h)
    return h / np.sqrt(np.sum(h**2))


def smooth_tail(rng: Rng, seconds: float = 1.2) -> Array:
    """First images of a box, and a Gaussian tail that swells smoothly and outweighs them.
    (frames,)"""
    h = shoebox(rng, (rng.uniform(3.5, 9), rng.uniform(3, 7), rng.uniform(2.4, 3.5)), 0.3, 0.06)
    t = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    swells = 1 - np.exp(-t / rng.uniform(0.01, 0.08))
    tail = np.zeros(len(t))
    for band, t_s in zip(OCTAVES_HZ, np.linspace(1.4, 0.5, len(OCTAVES_HZ)), strict=True):
        sos = butter(3, [band / 2**0.5, band * 2**0.5], "band", fs=RATE_HZ, output="sos")
        part = sosfilt(sos, rng.standard_normal(len(t)))
        tail += part / part.std() * 10 ** (-3 * t / t_s) * swells
    tail *= rng.uniform(1, 4) / np.sqrt(np.sum(tail**2))
    tail[: len(h)] += h[: len(t)]
    return tail / np.sqrt(np.sum(tail**2))


# loudspeakers, things in the room, recorders


def polynomial(even: float, odd: float) -> Callable[[Array], Array]:
    return lambda x: x + even * x**2 - odd * x**3


def unfolded(speaker: Callable[[Array], Array]) -> Callable[[Array], Array]:
    """At four times the rate, so that no harmonic folds back: no loudspeaker does that."""
    return lambda x: resample_poly(speaker(resample_poly(x, 4, 1)), 1, 4)[: len(x)]


def small_loudspeaker(rng: Rng) -> Callable[[Array], Array]:
    """Rolls off below 90 to 160 Hz, and distorts by several per cent where its cone moves."""
    cut = butter(4, rng.uniform(90, 160), "high", fs=RATE_HZ, output="sos")
    cone = butter(2, 300, fs=RATE_HZ, output="sos")
    even, odd = rng.uniform(0.05, 0.2), rng.uniform(0.05, 0.3)

    def play(x: Array) -> Array:
        y = sosfilt(cut, x)
        moved = sosfilt(cone, y)
        return y + even * moved**2 - odd * moved**3 + 0.01 * y**2 - 0.008 * y**3

    return play


def rattle(
    rng: Rng, low_db: float = -40.0, high_db: float = -18.0
) -> Callable[[Array, Array], Array]:
    """One to three loose things that buzz while the sweep passes their resonance."""
    things = [
        (rng.uniform(60, 500), rng.uniform(low_db, high_db), rng.integers(1 << 30))
        for _ in range(3)
    ]
    things = things[: rng.integers(1, 4)]

    def shake(heard: Array, played: Array) -> Array:
        y = heard.copy()
        for f0, db, seed in things:
            b, a = butter(1, [f0 / 1.15, f0 * 1.15], "band", fs=RATE_HZ)
            moved = np.abs(lfilter(b, a, played))
            knocks = np.maximum(moved - 0.4 * moved.max(), 0) / moved.max()
            buzz = sosfilt(
                butter(1, [800, 9000], "band", fs=RATE_HZ, output="sos"),
                np.random.default_rng(seed).standard_normal(len(y)) * knocks,
            )
            y += buzz * np.abs(heard).max() * 10 ** (db / 20) / np.abs(buzz).max()
        return y

    return shake


def desk(rng: Rng, h: Array) -> Array:
    """A reflection of the direct sound 1 to 3 ms late, as strong as its longer way allows, from 0.8
    to 4 m away."""
    after_s, away_m = rng.uniform(0.001, 0.003), rng.uniform(0.8, 4.0)
    gain = away_m / (away_m + C_M_S * after_s) * rng.uniform(0.9, 1.0)
    out = h.copy()
    out[round(after_s * RATE_HZ)] += gain * h[0]
    return out


def hum(rng: Rng) -> Callable[[Array], Array]:
    mains, db = rng.choice([50.0, 60.0]), rng.uniform(-60, -40)

    def add(y: Array) -> Array:
        t = np.arange(len(y)) / RATE_HZ
        tones = sum(np.sin(2 * np.pi * mains * k * t + k) / k for k in range(1, 13))
        return y + 10 ** (db / 20) * tones

    return add


def fan(phase: float) -> Callable[[Array], Array]:
    """Noise that swells by 1.3 dB and sinks again."""

    def add(y: Array) -> Array:
        noise = np.random.default_rng(5).standard_normal(len(y))
        return y + 3e-4 * noise * (1 + 0.15 * np.sin(np.arange(len(y)) / 3e4 + phase))

    return add


def soft(gain: float) -> Callable[[Array], Array]:
    return lambda x: np.tanh(gain * x) / gain


def automatic_gain(
    release_s: float, attack_s: float, most: float, target: float
) -> Callable[[Array], Array]:
    def fault(y: Array) -> Array:
        block = 480
        y = y[: len(y) // block * block]
        gain, gains = most, []
        for level in np.abs(y).reshape(-1, block).max(axis=1):
            want = min(most, target / max(level, 1e-9))
            gain *= (want / gain) ** min(0.01 / (attack_s if want < gain else release_s), 1)
            gains.append(gain)
        return y * np.interp(np.arange(len(y)), np.arange(len(gains)) * block + block / 2, gains)

    return fault


def suppressed(depth_db: float, hold_s: float, over_db: float = 9.0) -> Callable[[Array], Array]:
    """Noise is turned down by so much wherever the level stays near it."""

    def fault(y: Array) -> Array:
        width = int(hold_s * RATE_HZ)
        level = np.sqrt(fftconvolve(y**2, np.ones(width) / width, "same").clip(0))
        opened = level > np.median(level[: RATE_HZ // 2]) * 10 ** (over_db / 20)
        gain = np.where(opened, 1.0, 10 ** (-depth_db / 20))
        return y * np.maximum(
            fftconvolve(gain, np.hanning(1200) / np.hanning(1200).sum(), "same"), 0
        )

    return fault


def added(sound: Array, at_s: float, peak: float) -> Callable[[Array], Array]:
    def fault(y: Array) -> Array:
        y, at = y.copy(), int(at_s * RATE_HZ)
        y[at : at + len(sound)] += peak * sound[: len(y) - at] / np.abs(sound).max()
        return y

    return fault


def knock(rng: Rng, ms: float = 30) -> Array:
    t = np.arange(int(0.25 * RATE_HZ)) / RATE_HZ
    return rng.standard_normal(len(t)) * np.exp(-t / (ms / 1000) * 3)


def door(rng: Rng) -> Array:
    """A thump below 200 Hz and a rattle of the latch."""
    t = np.arange(int(0.5 * RATE_HZ)) / RATE_HZ
    thump = sosfilt(
        butter(2, [35, 220], "band", fs=RATE_HZ, output="sos"), rng.standard_normal(len(t))
    )
    latch = 0.15 * sosfilt(
        butter(1, [1000, 5000], "band", fs=RATE_HZ, output="sos"), rng.standard_normal(len(t))
    )
    thump /= np.abs(thump).max()
    return thump * np.exp(-t / 0.08) + latch * np.exp(-t / 0.02)


def voice(rng: Rng, seconds: float = 0.8) -> Array:
    """Vowels: a train of pulses through three formants, in syllables."""
    n = int(seconds * RATE_HZ)
    pitch = rng.uniform(100, 220) * (1 + 0.1 * np.sin(2 * np.pi * 2 * np.arange(n) / RATE_HZ))
    pulses = np.diff(np.floor(np.cumsum(pitch) / RATE_HZ), prepend=0)
    y = sum(
        lfilter(*butter(1, [f / 1.1, f * 1.1], "band", fs=RATE_HZ), pulses) * g
        for f, g in ((rng.uniform(400, 700), 1), (rng.uniform(1100, 1900), 0.6), (2700, 0.3))
    )
    return y * (0.15 + np.abs(np.sin(np.pi * 3 * np.arange(n) / RATE_HZ)))


def lost(at_s: float, ms: float) -> Callable[[Array], Array]:
    return lambda y: np.delete(y, slice(int(at_s * RATE_HZ), int((at_s + ms / 1000) * RATE_HZ)))


def repeated(at_s: float, ms: float) -> Callable[[Array], Array]:
    at, n = int(at_s * RATE_HZ), int(ms / 1000 * RATE_HZ)
    return lambda y: np.insert(y, at, y[at - n : at])


def zeroed(at_s: float, ms: float) -> Callable[[Array], Array]:
    def fault(y: Array) -> Array:
        y = y.copy()
        y[int(at_s * RATE_HZ) : int((at_s + ms / 1000) * RATE_HZ)] = 0
        return y

    return fault


def through_codec(container: str) -> Callable[[Array], Array]:
    """Through MP3 or Vorbis and back to a file that no longer says so."""

    def fault(y: Array) -> Array:
        import io

        import soundfile as sf

        held = io.BytesIO()
        sf.write(held, y.clip(-1, 1), RATE_HZ, format=container, **({"compression_level": 0.5}))
        held.seek(0)
        return np.asarray(sf.read(held)[0], dtype=np.float64)

    return fault


# scenes


def plain(rng: Rng, seed: int) -> Scene:
    sweep = Sweep(low_hz=(20, 40, 50)[seed % 3], high_hz=(18_000, 20_000)[seed % 2], seconds=(3, 4, 6)[seed % 3],
                  rate_hz=RATE_HZ)  # fmt: skip
    return Scene(
        sweep=sweep,
        room=octave_room(rng, rng.uniform(0.2, 1.0), direct=(0.0, 0.5, 1.5, 3.0)[seed % 4]),
        speaker=polynomial(rng.uniform(0, 0.02), rng.uniform(0, 0.03)),
        noise_dbfs=rng.uniform(-80, -62),
        lead_s=rng.uniform(0.4, 1.2),
        level=rng.uniform(0.04, 0.2),
        seed=seed,
    )


Make = Callable[[Rng, Scene], Scene]


def _room(rng: Rng, **kind: float) -> Array:
    return octave_room(rng, **kind)


CLEAN: dict[str, Make] = {
    "plain room": lambda rng, s: s,
    "rattling room": lambda rng, s: replace(s, in_room=rattle(rng)),
    "desk reflection 1 to 3 ms": lambda rng, s: replace(s, room=desk(rng, _room(rng, t_s=0.3, direct=2.0))),
    "very dry booth": lambda rng, s: replace(s, room=_room(rng, t_s=rng.uniform(0.06, 0.15), direct=3.0)),
    "long hall": lambda rng, s: replace(s, room=_room(rng, t_s=rng.uniform(2, 3.5), direct=0.7), tail_s=4.0),
    "booming low end": lambda rng, s: replace(s, room=_room(rng, t_s=0.3, direct=2.0, low_s=1.6)),
    "box with flutter": lambda rng, s: replace(
        s, room=shoebox(rng, (rng.uniform(3, 6), rng.uniform(2.5, 4), 2.5), rng.uniform(0.1, 0.4), 0.6)
    ),
    "images, then a smooth tail": lambda rng, s: replace(
        s, room=smooth_tail(rng), level=0.02, noise_dbfs=rng.uniform(-98, -88), bits=24
    ),
    "hum": lambda rng, s: replace(s, recorder=hum(rng)),
    "steady noise": lambda rng, s: replace(s, noise_dbfs=rng.uniform(-55, -48), level=0.15),
    "slowly changing noise": lambda rng, s: replace(
        s,
        recorder=fan(rng.uniform(0, 6)),
    ),
    "small loudspeaker": lambda rng, s: replace(s, speaker=small_loudspeaker(rng)),
    "clock off by up to 100 ppm": lambda rng, s: replace(
        s, recorder=partial(resample, ratio=1 + rng.uniform(-1e-4, 1e-4))
    ),
    "hardly any noise": lambda rng, s: replace(s, noise_dbfs=-130.0, bits=24),
    "loudspeaker turned away": lambda rng, s: replace(
        s,
        speaker=partial(sosfilt, butter(1, rng.uniform(1500, 4000), fs=RATE_HZ, output="sos")),
        room=_room(rng, t_s=0.5, direct=0.3),
    ),
}  # fmt: skip


def _during(rng: Rng, s: Scene, least: float = 0.15, most: float = 0.9) -> float:
    return s.lead_s + rng.uniform(least, most) * s.sweep.seconds


def _peak(rng: Rng, s: Scene, low_db: float, high_db: float) -> float:
    """So much under the sweep's own level in the room. [1]"""
    return s.level * 10 ** (rng.uniform(low_db, high_db) / 20)


def _two(rng: Rng, s: Scene) -> Scene:
    """A second loudspeaker, up to as loud as the first: in its own place, or in line with it."""
    apart, gain = rng.uniform(0.0003, 0.003), 10 ** (rng.uniform(-1, 0.3) / 20)
    first = octave_room(rng, 0.3, direct=2.5)
    shift = np.zeros(round(apart * RATE_HZ))
    second = np.concatenate(
        [shift, first if rng.uniform() < 0.5 else octave_room(rng, 0.3, direct=2.5)]
    )
    n = max(len(first), len(second))
    return replace(
        s, room=np.pad(first, (0, n - len(first))) + gain * np.pad(second, (0, n - len(second)))
    )


def _clip_at(share: float) -> Callable[[Array], Array]:
    return lambda y: np.clip(y, -share * np.abs(y).max(), share * np.abs(y).max())


def _full(share: float) -> Callable[[Array], Array]:
    return lambda y: np.clip(y / np.abs(y).max() / share, -1, 1)


FAULTS: dict[str, tuple[Make, str]] = {
    "clipped in the recorder": (
        lambda rng, s: replace(s, recorder=_full(rng.uniform(0.3, 0.95))),
        "clipped",
    ),
    "clipped ahead of the recorder": (
        lambda rng, s: replace(s, recorder=_clip_at(rng.uniform(0.3, 0.9))),
        "clipped",
    ),
    "clipped in the loudspeaker": (
        lambda rng, s: replace(s, speaker=_clip_at(rng.uniform(0.3, 0.75))),
        "overdriven",
    ),
    "soft limiter": (
        lambda rng, s: replace(s, speaker=soft(rng.uniform(1.3, 3))),
        "overdriven",
    ),
    "short peaks clipped in a loud knock": (
        lambda rng, s: replace(
            s, recorder=added(knock(rng, 8), _during(rng, s), rng.uniform(1.1, 2.5))
        ),
        "clipped|burst",
    ),
    "automatic gain": (
        lambda rng, s: replace(
            s,
            recorder=automatic_gain(
                rng.uniform(0.3, 4),
                rng.uniform(0.005, 0.1),
                rng.uniform(5, 30),
                rng.uniform(0.05, 0.3),
            ),
        ),
        "automatic gain",
    ),
    "noise suppression": (
        lambda rng, s: replace(
            s,
            recorder=suppressed(rng.uniform(10, 40), rng.uniform(0.03, 0.1)),
            room=_room(rng, t_s=0.5),
        ),
        "noise suppression|clipped",
    ),
    "too little level": (
        lambda rng, s: replace(
            s, level=10 ** (rng.uniform(-3, 6) / 20) * 10 ** (-54 / 20), noise_dbfs=-38.0
        ),
        "louder",
    ),
    "knock": (
        lambda rng, s: replace(
            s, recorder=added(knock(rng), _during(rng, s), _peak(rng, s, -10, 10))
        ),
        "burst",
    ),
    "door": (
        lambda rng, s: replace(
            s, recorder=added(door(rng), _during(rng, s), _peak(rng, s, -6, 10))
        ),
        "burst",
    ),
    "voice": (
        lambda rng, s: replace(
            s, recorder=added(voice(rng), _during(rng, s, 0.1, 0.7), _peak(rng, s, -10, 6))
        ),
        "burst|louder",
    ),
    "knock in the decay": (
        lambda rng, s: replace(
            s,
            recorder=added(
                knock(rng),
                s.lead_s + s.sweep.seconds + rng.uniform(0.05, 0.4),
                _peak(rng, s, -10, 10),
            ),
        ),
        "burst",
    ),
    "samples lost": (
        lambda rng, s: replace(s, recorder=lost(_during(rng, s), 10 ** rng.uniform(0.5, 2.3))),
        "lost",
    ),
    "samples doubled": (
        lambda rng, s: replace(s, recorder=repeated(_during(rng, s), 10 ** rng.uniform(0.7, 2.3))),
        "lost|added",
    ),
    "zeros": (
        lambda rng, s: replace(s, recorder=zeroed(_during(rng, s), 10 ** rng.uniform(0.5, 2))),
        "dropout|burst",
    ),
    "two loudspeakers at once": (_two, "two arrivals"),
    "recorder at 44.1 kHz": (
        lambda rng, s: replace(s, recorder=lambda y: resample_poly(y, 147, 160)),
        "44.1 kHz taken for 48 kHz",
    ),
    "player at 44.1 kHz": (
        lambda rng, s: replace(s, recorder=lambda y: resample_poly(y, 160, 147)),
        "48 kHz taken for 44.1 kHz",
    ),
    "lossy codec in a WAV": (lambda rng, s: replace(s, recorder=through_codec("MP3")), "lossy"),
}


def recorded(scene: Scene) -> Array:
    """What the recorder writes, quantised. (frames,)"""
    rng = np.random.default_rng(scene.seed + 10_000)
    lead, tail = (np.zeros(int(s * RATE_HZ)) for s in (scene.lead_s, scene.tail_s))
    played = scene.speaker(np.concatenate([lead, scene.sweep.samples, tail]))
    heard = fftconvolve(played, scene.room)[: len(played)] * scene.level
    heard = scene.in_room(heard, played)
    y = scene.recorder(heard + 10 ** (scene.noise_dbfs / 20) * rng.standard_normal(len(heard)))
    step = 2.0 ** (1 - scene.bits)
    return np.round(np.clip(y, -1, 1 - step) / step) * step


def heard(
    y: Array, played: Played | Sweep, **decisions: object
) -> tuple[ImpulseResponse, TakeCheck]:
    """Response and verdict of a recording."""
    audio = Audio(held=y.astype(np.float32)[:, None], rate_hz=RATE_HZ, lossy=False, where="REC.wav")
    what = Played(sweep=played) if isinstance(played, Sweep) else played
    response, check, _ = listen(audio, what, Decisions(**decisions))  # type: ignore[arg-type]
    return response, check


@dataclass(frozen=True)
class Outcome:
    """What was said of one take."""

    case: str
    seed: int
    kept: bool
    said: str
    seconds: float


def outcomes(cases: dict[str, Make], draws: int, first: int = 0) -> Iterator[Outcome]:
    """Every case, so many draws each."""
    for case, make in cases.items():
        for seed in range(first, first + draws):
            rng = np.random.default_rng([zlib.crc32(case.encode()), seed])
            scene = make(rng, plain(rng, seed))
            y = recorded(scene)
            begun = time.perf_counter()
            try:
                _, check = heard(y, scene.sweep)
                kept, said = (
                    check.keep,
                    " | ".join(sentences((*check.reasons, *check.warnings), Reader())),
                )
            except RoomcheckError as problem:
                kept, said = False, str(problem)
            yield Outcome(case, seed, kept, said, time.perf_counter() - begun)


# numbers after correction


@dataclass(frozen=True, kw_only=True)
class Wrong:
    """What is wrong with a take whose numbers are looked at afterwards."""

    speaker: Callable[[Array], Array] = lambda x: x
    recorder: Callable[[Array], Array] = lambda y: y
    noise_dbfs: float = -80.0
    wrong_machine: str | None = None


def off(ppm: int) -> Callable[[Array], Array]:
    """A recorder's clock, by scipy's resampling to a whole number of samples: 200 000 samples are 1
    for 5 ppm."""

    def record(y: Array) -> Array:
        y = np.concatenate([y, np.zeros(-len(y) % 200_000)])
        return np.asarray(scipy_resample(y, len(y) + len(y) * ppm // 1_000_000))

    return record


CORRECTED: dict[str, Wrong] = {
    "nothing": Wrong(),
    "noise": Wrong(noise_dbfs=-62.0),
    "distortion, 3 % even, 3 % odd": Wrong(speaker=unfolded(polynomial(0.06, 0.12))),
    **{f"clock {ppm:+d} ppm": Wrong(recorder=off(ppm)) for ppm in (5, -20, 50, -100, 200)},
    "recorder at 44.1 kHz": Wrong(
        recorder=partial(resample_poly, up=147, down=160), wrong_machine="recorder"
    ),
    # What is played too slowly goes into a room whose own time is true.
    "player at 44.1 kHz": Wrong(
        speaker=partial(resample_poly, up=160, down=147), wrong_machine="player"
    ),
}


@dataclass(frozen=True)
class Corrected:
    """One take: its drift as found, and errors of T20 and T30 by octave from 250 Hz to 4 kHz.
    [1e-6], [%]"""

    case: str
    drift_ppm: float | None
    t20_pct: tuple[float, ...]
    t30_pct: tuple[float, ...]
    withheld: int


def true_room(rng: Rng, t_s: float) -> tuple[Array, dict[float, tuple[float, float]]]:
    """A room, and T20 and T30 of each of its octaves without any filter. (frames,), [s]"""
    n = int(1.6 * t_s * RATE_HZ)
    t, spectrum = np.arange(n) / RATE_HZ, np.fft.rfft(rng.standard_normal(n))
    hz = np.fft.rfftfreq(n, 1 / RATE_HZ)
    h, truth = np.zeros(n), {}
    for band in (31.5, *OCTAVES_HZ, 16_000.0):
        low, high = band_edges_hz(band)
        part = np.fft.irfft(np.where((hz >= low) & (hz < high), spectrum, 0), n) * 10 ** (
            -3 * t / t_s
        )
        h += part
        energy = np.cumsum(part[::-1] ** 2)[::-1]
        db = 10 * np.log10(energy / energy[0])
        truth[band] = (_line_s(t, db, -25.0), _line_s(t, db, -35.0))
    return h / np.sqrt(np.sum(h**2)), truth


def _line_s(t: Array, db: Array, to_db: float) -> float:
    inside = (db <= -5) & (db >= to_db)
    return float(-60 / np.polyfit(t[inside], db[inside], 1)[0])


def correct(case: str, seed: int) -> Corrected:
    """Play a file with markers into a room, spoil it, put it right, and compare."""
    wrong, rng = CORRECTED[case], np.random.default_rng([zlib.crc32(case.encode()), seed])
    played = lay_out(
        Sweep(low_hz=40, high_hz=20_000, seconds=8, rate_hz=RATE_HZ), silence_s=2, level_dbfs=0
    )
    room, truth = true_room(rng, (0.3, 0.45, 0.7, 1.0)[seed % 4])
    file = np.concatenate([played.samples()[:, 0], np.zeros(2 * RATE_HZ)])
    sound = wrong.speaker(file)
    y = 0.1 * fftconvolve(sound, room)[: len(sound)]
    y = wrong.recorder(y + 10 ** (wrong.noise_dbfs / 20) * rng.standard_normal(len(y)))
    response, check = heard(y, played, wrong_machine=wrong.wrong_machine)
    if not check.keep:
        raise AssertionError(f"{case}, draw {seed}: {check.reasons}")
    t20, t30, withheld = [], [], 0
    for band in decays(response):
        if 250 <= band.band_hz <= 4000:
            for found, true_s, errors in zip(
                (band.t20_s, band.t30_s), truth[band.band_hz], (t20, t30), strict=True
            ):
                if found is None:
                    withheld += 1
                else:
                    errors.append(100 * (found / true_s - 1))
    return Corrected(case, check.drift_ppm, tuple(t20), tuple(t30), withheld)


def spread(values: list[float]) -> tuple[float, float]:
    """Median, and 95th percentile of the size."""
    return float(np.median(values)), float(np.percentile(np.abs(values), 95))


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--draws", type=int, default=10)
    parser.add_argument("--only", default="")
    parser.add_argument("--show", action="store_true", help="what was said, one by one")
    args = parser.parse_args()
    wanted = [w for w in args.only.split(",") if w]
    for title, cases in (
        ("clean", CLEAN),
        ("fault", {name: make for name, (make, _) in FAULTS.items()}),
    ):
        print(title)
        chosen = {
            name: make
            for name, make in cases.items()
            if not wanted or any(w in name for w in wanted)
        }
        tally: dict[str, list[Outcome]] = {}
        for outcome in outcomes(chosen, args.draws):
            tally.setdefault(outcome.case, []).append(outcome)
            if args.show:
                print(
                    "   ",
                    outcome.case,
                    outcome.seed,
                    "kept" if outcome.kept else "REPEAT",
                    outcome.said[:400],
                )
        for case, found in tally.items():
            print(f"  {case:40s} kept {sum(o.kept for o in found):3d} of {len(found)}"
                  f"  slowest {max(o.seconds for o in found):.2f} s")  # fmt: skip
    for case in CORRECTED:
        if wanted and not any(w in case for w in wanted):
            continue
        found = [correct(case, seed) for seed in range(min(args.draws, 4))]
        print(f"{case:32s} T20 %+.2f | %.2f   T30 %+.2f | %.2f" % (
            *spread([e for f in found for e in f.t20_pct]), *spread([e for f in found for e in f.t30_pct])),
            "drift", [None if f.drift_ppm is None else round(f.drift_ppm, 2) for f in found],
            "withheld", sum(f.withheld for f in found))  # fmt: skip


if __name__ == "__main__":
    main()
