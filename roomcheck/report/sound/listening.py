"""Files to listen to: the seat before, as predicted after, and as measured after.

A dry sound is convolved with the measured response, for two ears on headphones (`two_ears`). What
is predicted is simulated: the response measured before, with every octave dying away as fast as the
plan says, and each early reflection off a piece as loud as the piece leaves it (`early`). The noise
of the measurement is in none of them (`carried_on`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import gcd
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Analysis
from roomcheck.job import Job
from roomcheck.measure import ImpulseResponse, Measurement, give_back, reuse
from roomcheck.recommend import Plan
from roomcheck.report.sound.added import added_m2
from roomcheck.report.sound.carried_on import LEAD_S, Aim, Carried, aims, as_predicted, carried_on
from roomcheck.report.sound.dry_signals import claps, guitar, programme, voice
from roomcheck.report.sound.early import Arrival, arrivals, as_planned
from roomcheck.report.sound.two_ears import LOW_HZ, two_ears
from roomcheck.standards.iec_61672_1_2013 import a_weighting_db
from roomcheck.units import OCTAVES_HZ
from roomcheck.words import say

if TYPE_CHECKING:
    from soundfile import SoundFile

PEAK = 10 ** (-3 / 20)
"""Highest sample of the loudest file. [1]"""

BEFORE, PLANNED, MEASURED = (
    "1-before",
    "2-after-as-predicted-SIMULATED",
    "3-after-as-measured",
)
"""What the files are called."""

TRUE, EVEN = "as-loud-as-it-is", "equally-loud"
"""Their folders: one gain for all, or all at one A-weighted level."""

DRY = {"voice": voice, "claps": claps, "guitar": guitar}
KINDS = tuple(DRY)
"""The dry sounds."""

SWAPS = {PLANNED: "30-seconds-before-planned-before", MEASURED: "30-seconds-before-measured-before"}
"""One file in which the room changes twice, by the room that it changes to."""

FADE_S = 0.05
"""Where the room changes within a file. [s]"""

_SEED = 29

Sound = NDArray[np.float64]
Spectrum = NDArray[np.complex128]
Dither = tuple[NDArray[np.float32], NDArray[np.float32]]
"""Two even noises whose sum is triangular, (frames, 2) each. [16-bit step]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RoomAtEars:
    """A response of the room as two ears get it."""

    name: str
    """What its files are called."""
    simulated: bool
    left: Sound
    """(frames,)"""
    right: Sound
    """(frames,)"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ears:
    """What both ears get of every room at the seat: all that the files to listen to are made of."""

    rate_hz: int
    about: str
    """The page that says what each file is."""
    rooms: tuple[RoomAtEars, ...]
    """In the order in which they came to be."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seat:
    """A response at the seat, and what to call it."""

    name: str
    response: Carried
    simulated: bool = False


def listening_files(
    job: Job,
    before: Sequence[Measurement],
    after: Sequence[Measurement],
    analysis: Analysis | None,
    plan: Plan | None,
) -> list[tuple[str, bytes]]:
    """Every file to listen to, by its name, as `ears_of` and `sound_files` make them; none where no
    pair was measured."""
    ears = ears_of(job, before, after, analysis, plan)
    if ears is None:
        return []
    with TemporaryDirectory(prefix="roomcheck-heard-") as folder:
        return [(name, Path(folder, name).read_bytes()) for name in sound_files(ears, Path(folder))]


def ears_of(
    job: Job,
    before: Sequence[Measurement],
    after: Sequence[Measurement],
    analysis: Analysis | None,
    plan: Plan | None,
) -> Ears | None:
    """What both ears get of every room at the seat; None where no pair was measured.

    Parameters
    ----------
    job : Job
    before, after : sequence of Measurement
        Of the visits; either may be empty. The pair taken is the seat (else the first microphone
        that was measured) and the first source that was measured with it, the same one both times.
    analysis : Analysis or None
        Of the "before"; from its decays the predicted sound is made.
    plan : Plan or None
        Its prediction and its pieces.
    """
    pair = _pair(job, before, after)
    if pair is None:
        return None
    first, second = _at(before, pair), _at(after, pair)
    either = first or second
    if either is None:
        return None
    rate_hz = either.response.rate_hz
    give_back()
    reuse()
    heard = _seats(first, second, rate_hz)
    if not heard:
        return None
    pieces = plan.pieces if plan else ()
    early = arrivals(job, *pair, pieces, job.speed_of_sound_m_s("before" if first else "after"))
    wanted: dict[float, Aim] = {}
    if first:
        forecast = plan.prediction if plan else None
        wanted = aims(heard[0].response, analysis, forecast, added_m2(job, pieces))
    if wanted:
        heard.insert(1, _planned(heard[0].response, wanted, early))
    about = [say("listening_about", source=pair[0], microphone=pair[1])]
    rooms = [_at_ears(seat, early) for seat in heard]
    return Ears(
        rate_hz=rate_hz,
        about="\n".join([*about, *_stands_for(heard, wanted)]),
        rooms=tuple(rooms),
    )


def sound_files(ears: Ears, folder: Path) -> tuple[str, ...]:
    """Write every file to listen to, with a page that says what each is.

    Each is written as soon as it is made: all of them together are as large as a whole visit.

    Returns
    -------
    tuple of str
        Their names within `folder`. WAV, two channels, 16 bit. In `as-loud-as-it-is` all have one
        gain, so that a room that became quieter is quieter; in `equally-loud` all have the same
        A-weighted level, so that nothing but the room's sound differs.
    """
    give_back()
    reuse()
    for inside in (TRUE, EVEN):
        (folder / "listening" / inside).mkdir(parents=True, exist_ok=True)
    names = []
    for kind, dry in DRY.items():
        names += _set(kind, dry(ears.rate_hz), ears, folder)
    # What is kept of shorter sounds holds none of the programme's, nor a page any of both.
    give_back()
    reuse()
    names += _swaps(ears, folder)
    give_back()
    about = "listening/READ-ME.txt"
    (folder / about).write_bytes(ears.about.encode())
    return (*names, about)


def _planned(was: Carried, wanted: Mapping[float, Aim], early: Sequence[Arrival]) -> _Seat:
    """The seat as the plan says: its octaves' decays, and its early reflections off the pieces."""
    response = as_predicted(was, wanted)
    zero = round(LEAD_S * was.rate_hz)
    changed = {
        hz: as_planned(part, hz, early, zero, was.rate_hz) if hz >= LOW_HZ else part
        for hz, part in response.parts.items()
    }
    return _Seat(name=PLANNED, response=replace(response, parts=changed), simulated=True)


def _at_ears(seat: _Seat, early: Sequence[Arrival]) -> RoomAtEars:
    """What both ears get, each dying away in every octave as the response does."""
    stands_for = {hz: Aim(t60_s=t60_s) for hz, t60_s in seat.response.t60_s.items()}
    left, right = (as_predicted(ear, stands_for).sound for ear in two_ears(seat.response, early))
    return RoomAtEars(name=seat.name, simulated=seat.simulated, left=left, right=right)


def _seats(first: Measurement | None, second: Measurement | None, rate_hz: int) -> list[_Seat]:
    """The visits, each in the octaves that both can be heard in; empty where there is none."""
    heard = []
    for name, visit in ((BEFORE, first), (MEASURED, second)):
        if visit:
            response = carried_on(_at_rate(visit.response, rate_hz))
            heard.append(_Seat(name=name, response=response))
    common = set.intersection(*(set(seat.response.parts) for seat in heard))
    if not common:
        return []
    return [replace(seat, response=seat.response.only(common)) for seat in heard]


def _stands_for(heard: Sequence[_Seat], wanted: Mapping[float, Aim]) -> list[str]:
    """A line an octave: what it dies away in, in each file."""
    lines = []
    for hz in OCTAVES_HZ:
        if hz not in heard[0].response.parts:
            lines.append(say("listening_left_out", octave_hz=hz))
            continue
        times = [f"{seat.name} {seat.response.t60_s[hz]:#.3g} s" for seat in heard]
        aim = wanted.get(hz)
        line = say("listening_octave", octave_hz=hz, times=", ".join(times))
        if aim and aim.like_hz:
            line += say("listening_follows", like_hz=aim.like_hz)
        lines.append(line)
    return lines


def _pair(
    job: Job, before: Sequence[Measurement], after: Sequence[Measurement]
) -> tuple[str, str] | None:
    """The pair to listen at: measured both times where both visits are there, the seat first."""
    visits = [{(m.source, m.microphone) for m in visit} for visit in (before, after) if visit]
    if not visits:
        return None
    common = set.intersection(*visits)
    order = [(s.name, m.name) for m in job.microphones for s in job.sources]
    order.sort(key=lambda pair: pair[1] != job.seat)
    return next((pair for pair in order if pair in common), None)


def _at(visit: Sequence[Measurement], pair: tuple[str, str]) -> Measurement | None:
    return next((m for m in visit if (m.source, m.microphone) == pair), None)


def _at_rate(response: ImpulseResponse, rate_hz: int) -> ImpulseResponse:
    if response.rate_hz == rate_hz:
        return response
    from scipy.signal import resample_poly

    up, down = (
        rate_hz // gcd(rate_hz, response.rate_hz),
        response.rate_hz // gcd(rate_hz, response.rate_hz),
    )
    return ImpulseResponse(samples=resample_poly(response.samples, up, down), rate_hz=rate_hz)


def _set(kind: str, dry: Sound, ears: Ears, folder: Path) -> list[str]:
    """Write the files of one dry sound; returns their names."""
    rate_hz = ears.rate_hz
    longest = len(dry) + max(len(room.left) for room in ears.rooms) - 1
    wet = list(_all_heard(dry, ears.rooms, longest))
    loudest = max(map(_highest, wet))
    levels = [a_weighted_rms(sound, rate_hz) for sound in wet]
    highest = max(_highest(sound) / level for sound, level in zip(wet, levels, strict=True))
    dither = _dither(0, longest, longest)
    names = []
    for room, sound, level in zip(ears.rooms, wet, levels, strict=True):
        for inside, most in ((TRUE, loudest), (EVEN, level * highest)):
            name = f"listening/{inside}/{kind}-{room.name}.wav"
            with _wav(folder / name, rate_hz, simulated=room.simulated) as file:
                file.write(_in_16_bits(sound, PEAK / most, dither))
            names.append(name)
    return names


def _highest(sound: Sound) -> float:
    """The largest sample, whatever its sign."""
    return max(float(sound.max()), -float(sound.min()))


def _all_heard(dry: Sound, rooms: Sequence[RoomAtEars], frames: int) -> Iterator[Sound]:
    """A dry sound in both ears in every room, (frames, 2) each: cut off, or carried on in
    silence."""
    from scipy import fft

    spectra: dict[int, Spectrum] = {}
    for room in rooms:
        heard = np.zeros((frames, 2))
        lasts = min(frames, len(dry) + len(room.left) - 1)
        size = fft.next_fast_len(len(dry) + len(room.left) - 1, real=True)
        if size not in spectra:
            spectra[size] = fft.rfft(dry, size)
        for i, ear in enumerate((room.left, room.right)):
            heard[:lasts, i] = _convolved(spectra[size], ear, size)[:lasts]
        yield heard


def _convolved(spectrum: Spectrum, response: Sound, size: int) -> Sound:
    """A sound, by its spectrum, as it is heard through a response, (size,)."""
    from scipy import fft

    heard = fft.rfft(response, size)
    heard *= spectrum
    return np.asarray(fft.irfft(heard, size, overwrite_x=True))


def _swaps(ears: Ears, folder: Path) -> list[str]:
    """Half a minute each: the programme before, in another room, and before again, at one gain."""
    dry = programme(ears.rate_hz)
    fade = round(FADE_S * ears.rate_hz)
    fall = np.cos(np.linspace(0, np.pi / 2, fade)) ** 2
    wet = {}
    for room, sound in zip(ears.rooms, _all_heard(dry, ears.rooms, len(dry)), strict=True):
        sound[-fade:] *= fall[:, None]
        wet[room.name] = sound
    if BEFORE not in wet:
        return []
    loudest = max(map(_highest, wet.values()))
    names = []
    for room in ears.rooms:
        if room.name not in SWAPS:
            continue
        marked = "-SIMULATED" if room.simulated else ""
        name = f"listening/{SWAPS[room.name]}{marked}.wav"
        thirds = [wet[BEFORE], wet[room.name], wet[BEFORE]]
        with _wav(folder / name, ears.rate_hz, simulated=room.simulated) as file:
            for i, third in enumerate(thirds):
                dither = _dither(i * len(dry), len(dry), len(thirds) * len(dry))
                file.write(_in_16_bits(third, PEAK / loudest, dither))
        names.append(name)
    return names


def a_weighted_rms(x: Sound, rate_hz: int) -> float:
    """A-weighted root mean square of a sound, (frames,) or (frames, channels). [1]"""
    from scipy import fft

    size = fft.next_fast_len(len(x), real=True)
    channels = x[:, None] if x.ndim == 1 else x
    # Parseval: all bins but the first and the last, where there is one, stand for two.
    weight = 2 * _a_weight(size, rate_hz)
    energy = 0.0
    for i in range(channels.shape[1]):
        spectrum = fft.rfft(channels[:, i], size)
        energy += float(np.sum((spectrum.real**2 + spectrum.imag**2) * weight))
    return float(np.sqrt(energy / size / channels.size))


@lru_cache(maxsize=1)
def _a_weight(size: int, rate_hz: int) -> Sound:
    """Power gain of A-weighting in each bin of a transform, (size // 2 + 1,); half in the last bin
    of an even one. [1]"""
    f = np.fft.rfftfreq(size, 1 / rate_hz)
    weight = np.zeros_like(f)
    weight[1:] = 10 ** (a_weighting_db(f[1:]) / 10)
    if size % 2 == 0:
        weight[-1] /= 2
    return weight


def _dither(first: int, frames: int, whole: int) -> Dither:
    """What a file's samples are rounded with from its frame `first` on, of `whole` frames: the same
    each time, so every file keeps the same even floor, and no decay sinks into steps.

    References
    ----------
    S. P. Lipshitz, R. A. Wannamaker, J. Vanderkooy, "Quantization and dither: a theoretical
    survey", J. Audio Eng. Soc. 40 (1992) 355 (from memory).
    """
    return _even(first, frames), _even(whole + first, frames)


def _even(first: int, frames: int) -> NDArray[np.float32]:
    """Even noise from 0 to 1 of a fixed seed, from its frame `first` on, (frames, 2)."""
    bits = np.random.PCG64(_SEED)
    bits.advance(first)  # one step makes two numbers of 32 bit: a frame
    return np.random.Generator(bits).random((frames, 2), dtype=np.float32)


def _in_16_bits(x: Sound, gain: float, dither: Dither) -> NDArray[np.int16]:
    """Rounded with triangular dither, (frames, 2)."""
    steps = gain * x
    steps *= 2.0**15
    for even in dither:
        steps += even
    steps -= 1.0
    return np.rint(steps, out=steps).astype(np.int16)


def _wav(path: Path, rate_hz: int, *, simulated: bool) -> SoundFile:
    """A new sound file that is open for writing; it says what it is."""
    import soundfile as sf

    file = sf.SoundFile(path, "w", rate_hz, 2, "PCM_16", format="WAV")
    file.title = say("listening_simulated" if simulated else "listening_measured")
    return file
