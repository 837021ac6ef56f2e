"""Make the demo's recordings: a simulated room, a simulated loudspeaker, some noise. No microphone
was there.

    python sample_audio/make_recordings.py

Everything random comes from one seed, so the same files come out again. The room is not the one
that `roomcheck predict` imagines: energy particles bounce through the box and meet each patch where
it is, a share of them scattered by Lambert's law; images of first and second order carry the early
sound; noise with the particles' energy carries the rest. The surfaces absorb a little more or less
than the books say, and in the "after" room the pieces are not quite where and what the signed plan
says: real life.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile as sf
from numpy.typing import NDArray
from scipy.signal import butter, fftconvolve, iirpeak, resample_poly, sosfilt

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Face, Point, Rectangle, Room, distance_m
from roomcheck.job import Job, load_job, read_signed
from roomcheck.materials import absorption_of
from roomcheck.measure import Sweep
from roomcheck.predict import piece_absorption
from roomcheck.quote import Agreement
from roomcheck.standards import air_absorption_db_per_m, speed_of_sound_m_s
from roomcheck.units import OCTAVES_HZ

HERE = Path(__file__).resolve().parent
JOB = HERE.parent / "roomcheck" / "demo" / "story-room"
SEED = 20260504
SWEEP = Sweep(low_hz=40, high_hz=20_000, seconds=4, rate_hz=48_000)
TAIL_S = 2.5
SCATTERING = 0.3
PARTICLES = 20_000
GAIN = 0.25
STEP_S = 0.0005
RISE_S = 0.015
"""From the direct sound until the scattered sound is all there."""
OFF_PLACE_M = 0.0508
"""How far the first piece hangs from its place: two inches."""
PIECE_FACTOR = 0.96
"""What the pieces absorb, as a share of what the plan counted on."""
BOOK_FACTOR = {
    "floor": 1.12,
    "ceiling": 0.93,
    "north": 1.05,
    "south": 0.95,
    "east": 1.04,
    "west": 0.97,
}
"""What the bare surfaces really absorb, as a share of the books' values."""

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Skin:
    """What covers a face: rectangles on top of one another, the last on top; absorption per
    octave."""

    face: Face
    layers: tuple[tuple[Rectangle, Array], ...]

    def absorption_at(self, u_m: Array, v_m: Array) -> Array:
        found = np.tile(self.layers[0][1], (len(u_m), 1))
        for place, alpha in self.layers[1:]:
            on = (
                (u_m >= place.u_m)
                & (u_m <= place.right_m)
                & (v_m >= place.v_m)
                & (v_m <= place.top_m)
            )
            found[on] = alpha
        return found


def skins(job: Job, agreement: Agreement | None) -> tuple[Skin, ...]:
    """The faces of the real room, with the signed plan's pieces where there is one."""
    made = []
    for face in job.room.faces:
        whole = Rectangle(-1.0, -1.0, face.width_m + 2, face.height_m + 2)
        factor = BOOK_FACTOR[face.name]
        layers = [(whole, octaves(job.material_of(face.name)) * factor)]
        layers += [
            (patch.place, octaves(patch.material))
            for patch in job.patches
            if patch.face == face.name
        ]
        for i, placed in enumerate(agreement.plan.pieces if agreement else ()):
            if placed.face == face.name:
                off = OFF_PLACE_M if i == 0 else 0.0
                place = Rectangle(
                    placed.place.u_m + off,
                    placed.place.v_m,
                    placed.place.width_m,
                    placed.place.height_m,
                )
                coefficients = piece_absorption(job.shop.piece(placed.piece))
                layers.append(
                    (place, filled(coefficients.bands_hz, coefficients.values) * PIECE_FACTOR)
                )
        made.append(
            Skin(face, tuple((place, np.clip(alpha, 0.0, 0.99)) for place, alpha in layers))
        )
    return tuple(made)


def octaves(key: str) -> Array:
    """A material's coefficients in all eight octaves."""
    material = absorption_of(key)
    return filled(material.bands_hz, material.values)


def filled(bands_hz: tuple[float, ...], values: tuple[float, ...]) -> Array:
    """Eight octaves; below and above what the source gives, its last value. Good enough for a
    made-up room."""
    return np.interp(np.log2(OCTAVES_HZ), np.log2(bands_hz), values)


def furniture_m2(job: Job, visit: str) -> Array:
    """Equivalent absorption area of what stands in the room. [m2]"""
    total = np.zeros(len(OCTAVES_HZ))
    for thing in job.furnishings:
        if visit in thing.visits:
            total += thing.amount * octaves(thing.material)
    return total


def late_energy(
    room: Room,
    covered: tuple[Skin, ...],
    source: Point,
    loss_per_m: Array,
    speed: float,
    seconds: float,
    seed: int,
) -> Array:
    """Share of the energy in the room at each step that early images do not carry: (steps,
    bands)."""
    rng = np.random.default_rng(seed)
    size = np.array(
        [max(x for x, _ in room.corners), max(y for _, y in room.corners), room.height_m]
    )
    place = np.tile(np.array(source), (PARTICLES, 1))
    way = rng.standard_normal((PARTICLES, 3))
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    energy = np.full((PARTICLES, len(OCTAVES_HZ)), 1 / PARTICLES)
    bounces = np.zeros(PARTICLES, dtype=int)
    by_plane = {plane_of(skin.face): skin for skin in covered}
    late = np.zeros((round(seconds / STEP_S), len(OCTAVES_HZ)))
    for i in range(len(late)):
        place += way * (speed * STEP_S)
        energy *= np.exp(-loss_per_m * speed * STEP_S)
        for axis, far in itertools.product(range(3), (False, True)):
            beyond = place[:, axis] - size[axis] if far else -place[:, axis]
            hit = np.flatnonzero(beyond > 0)
            if len(hit) == 0:
                continue
            skin = by_plane[axis, far]
            at = place[hit] - way[hit] * (beyond[hit] / np.abs(way[hit, axis]))[:, None]
            at = np.clip(at, 0, size)  # two walls in one step: the way may have turned at the first
            energy[hit] *= 1 - skin.absorption_at(*on_face(skin.face, at))
            bounces[hit] += 1
            way[hit, axis] *= -1
            place[hit, axis] += (-2 if far else 2) * beyond[hit]
            spread = hit[rng.random(len(hit)) < SCATTERING]
            way[spread] = lambert(rng, np.array(skin.face.normal), len(spread))
            bounces[spread] = 9
        late[i] = energy[bounces > 2].sum(axis=0)
    return late


def plane_of(face: Face) -> tuple[int, bool]:
    """Which axis a face of the box stands across, and whether at its far end."""
    axis = int(np.argmax(np.abs(face.normal)))
    return axis, face.normal[axis] < 0


def on_face(face: Face, at: Array) -> tuple[Array, Array]:
    away = at - np.array(face.origin)
    return away @ np.array(face.u_axis), away @ np.array(face.v_axis)


def lambert(rng: np.random.Generator, normal: Array, count: int) -> Array:
    """Directions off a plane by Lambert's law: (count, 3)."""
    way = rng.standard_normal((count, 3))
    way = way / np.linalg.norm(way, axis=1, keepdims=True) + normal
    return way / np.linalg.norm(way, axis=1, keepdims=True)


def early_paths(
    covered: tuple[Skin, ...], source: Point, microphone: Point
) -> Iterator[tuple[float, Array]]:
    """Length and remaining energy per octave of direct sound and images to second order. [m],
    [1]"""
    yield distance_m(source, microphone), np.ones(len(OCTAVES_HZ))
    orders = [(skin,) for skin in covered] + list(itertools.permutations(covered, 2))
    for order in orders:
        images = [source]
        for skin in order:
            images.append(skin.face.mirror(images[-1]))
        kept = np.ones(len(OCTAVES_HZ))
        aim = microphone
        for skin, image in zip(reversed(order), reversed(images), strict=False):
            point = crossing(skin.face, image, aim)
            if point is None:
                break
            u, v, _ = skin.face.to_face(point)
            kept = (
                kept * (1 - SCATTERING) * (1 - skin.absorption_at(np.array([u]), np.array([v]))[0])
            )
            aim = point
        else:
            yield distance_m(images[-1], microphone), kept


def crossing(face: Face, image: Point, aim: Point) -> Point | None:
    """Where the way from an image to a place inside meets the face, if it does."""
    behind, before = face.to_face(image)[2], face.to_face(aim)[2]
    if not behind < -1e-9 < 1e-9 < before:
        return None
    share = before / (before - behind)
    point = Point(*(a + share * (i - a) for a, i in zip(aim, image, strict=True)))
    u, v, _ = face.to_face(point)
    return point if 0 <= u <= face.width_m and 0 <= v <= face.height_m else None


def response(
    room: Room,
    covered: tuple[Skin, ...],
    late: Array,
    source: Point,
    microphone: Point,
    speed: float,
    seed: int,
) -> Array:
    """Impulse response between two places: (frames,)."""
    rate = SWEEP.rate_hz
    frames = round(len(late) * STEP_S * rate)
    noise = np.fft.rfft(np.random.default_rng(seed).standard_normal(frames))
    hz = np.fft.rfftfreq(frames, 1 / rate)
    found = np.zeros(frames)
    paths = list(early_paths(covered, source, microphone))
    # Images carry what comes first; scattered sound needs a few of them to rise.
    since_direct = np.arange(frames) / rate - distance_m(source, microphone) / speed
    risen = np.sin(np.pi / 2 * np.clip(since_direct / RISE_S, 0, 1)) ** 2
    for band, mask in enumerate(masks(hz)):
        # Energy density of a pulse of unit energy: 1/(4 pi r^2) an area early, c E(t)/V a second
        # late.
        spectrum = sum(
            np.sqrt(kept[band] / (4 * np.pi)) / length * np.exp(-2j * np.pi * hz * length / speed)
            for length, kept in paths
        )
        found += np.fft.irfft(mask * spectrum, frames)
        steps = np.interp(
            np.arange(frames) / rate, (np.arange(len(late)) + 0.5) * STEP_S, late[:, band]
        )
        found += np.sqrt(speed / room.volume_m3 / rate * steps * risen) * np.fft.irfft(
            mask * noise, frames
        )
    return found


def masks(hz: Array) -> Iterator[Array]:
    """One weight per octave over frequency, together 1 everywhere."""
    place = np.interp(np.log2(np.maximum(hz, 1.0)), np.log2(OCTAVES_HZ), np.arange(len(OCTAVES_HZ)))
    for band in range(len(OCTAVES_HZ)):
        yield np.cos(np.pi / 2 * np.clip(np.abs(place - band), 0, 1)) ** 2


def loudspeaker(signal: Array) -> Array:
    """What a small powered loudspeaker makes of a signal: some distortion, no deep bass, a bump at
    2.6 kHz."""
    fine = resample_poly(signal, 4, 1)  # so that no harmonic folds back
    bent = resample_poly(fine + 0.008 * fine**2 - 0.02 * fine**3, 1, 4)
    rate = SWEEP.rate_hz
    for sos in (
        butter(2, 55, "highpass", fs=rate, output="sos"),
        butter(2, 17_000, fs=rate, output="sos"),
    ):
        bent = sosfilt(sos, bent)
    b, a = iirpeak(2600, 1.5, fs=rate)
    bump: Array = sosfilt(np.concatenate([b, a])[None], bent)
    return bent + 0.25 * bump


def background(frames: int, seed: int) -> Array:
    """Quiet room noise, 3 dB less an octave, with a little mains hum: (frames,)."""
    rng = np.random.default_rng(seed)
    spectrum = np.fft.rfft(rng.standard_normal(frames))
    hz = np.fft.rfftfreq(frames, 1 / SWEEP.rate_hz)
    pink = np.fft.irfft(spectrum / np.sqrt(np.maximum(hz, 20) / 20), frames)
    hum = np.sin(2 * np.pi * 60 * np.arange(frames) / SWEEP.rate_hz)
    return 1e-3 * pink / np.std(pink) + 1e-4 * hum


def record(visit: str, agreement: Agreement | None) -> None:
    """The recordings of one visit, as FLAC files."""
    job = load_job(JOB)
    conditions = job.visit(visit)
    if conditions is None:
        raise RoomcheckError(f"{JOB}: no visit {visit!r}")
    speed = speed_of_sound_m_s(conditions.temperature_c)
    air = [
        air_absorption_db_per_m(hz, conditions.temperature_c, conditions.humidity_pct)
        for hz in OCTAVES_HZ
    ]
    loss = np.array(air) / 4.342945 + furniture_m2(job, visit) / (4 * job.room.volume_m3)
    covered = skins(job, agreement)
    (HERE / visit).mkdir(exist_ok=True)
    for s, source in enumerate(job.sources):
        late = late_energy(job.room, covered, source.point, loss, speed, TAIL_S, SEED + s)
        for m, microphone in enumerate(job.microphones):
            seed = SEED + 1000 * (visit == "after") + 100 * s + m
            room = response(job.room, covered, late, source.point, microphone.point, speed, seed)
            lead = round((0.35 + 0.05 * m) * SWEEP.rate_hz)
            played = np.concatenate(
                [np.zeros(lead), SWEEP.samples, np.zeros(round(TAIL_S * SWEEP.rate_hz))]
            )
            heard = fftconvolve(loudspeaker(played), room)[: len(played)]
            heard += background(len(heard), seed + 50) * 0.12
            path = HERE / visit / f"{source.name}-{microphone.name}.flac"
            sf.write(path, GAIN * heard, SWEEP.rate_hz, subtype="PCM_16")
            print(path.relative_to(HERE.parent), f"peak {GAIN * np.abs(heard).max():.2f}")


if __name__ == "__main__":
    record("before", None)
    signed = read_signed(JOB)
    if signed is None:
        print("nothing is signed in the demo's job, so there is no treated room to record yet")
    else:
        record("after", signed.value(Agreement))
