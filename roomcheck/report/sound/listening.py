"""Files to listen to: the seat before, as predicted after, and as measured after.

A dry sound is convolved with the measured response. What is predicted is simulated: the response
measured before, with every octave dying away as fast as the plan says; the early reflections stay
those of the untreated room. The noise of the measurement is in none of them (`carried_on`).
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import gcd

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Analysis
from roomcheck.job import Job
from roomcheck.measure import ImpulseResponse, Measurement
from roomcheck.predict import Prediction
from roomcheck.report.sound.carried_on import Aim, Carried, aims, as_predicted, carried_on
from roomcheck.report.sound.dry_signals import claps, voice
from roomcheck.standards.iec_61672_1_2013 import a_weighting_db
from roomcheck.units import OCTAVES_HZ
from roomcheck.words import say

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

KINDS = ("voice", "claps")
"""The dry sounds."""

Sound = NDArray[np.float64]


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
    prediction: Prediction | None,
) -> list[tuple[str, bytes]]:
    """Every file to listen to, by its name, with a page that says what each is.

    Parameters
    ----------
    job : Job
    before, after : sequence of Measurement
        Of the visits; either may be empty. The pair taken is the seat (else the first microphone
        that was measured) and the first source that was measured with it, the same one both times.
    analysis : Analysis or None
        Of the "before"; from its decays the predicted sound is made.
    prediction : Prediction or None
        Of the plan.

    Returns
    -------
    list of (name, bytes)
        WAV, one channel, 16 bit. In `as-loud-as-it-is` all have one gain, so that a room that
        became quieter is quieter; in `equally-loud` all have the same A-weighted level, so that
        nothing but the room's sound differs.
    """
    pair = _pair(job, before, after)
    if pair is None:
        return []
    first, second = _at(before, pair), _at(after, pair)
    either = first or second
    if either is None:
        return []
    rate_hz = either.response.rate_hz
    heard = _seats(first, second, rate_hz)
    if not heard:
        return []
    wanted: dict[float, Aim] = {}
    if first:
        wanted = aims(heard[0].response, analysis, prediction)
    if wanted:
        planned = as_predicted(heard[0].response, wanted)
        heard.insert(1, _Seat(name=PLANNED, response=planned, simulated=True))
    files = []
    for kind, dry in (("voice", voice(rate_hz)), ("claps", claps(rate_hz))):
        files += _set(kind, dry, heard, rate_hz)
    about = "\n".join(
        [say("listening_about", source=pair[0], microphone=pair[1]), *_stands_for(heard, wanted)]
    )
    return [*files, ("listening/READ-ME.txt", about.encode())]


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
        times = [f"{seat.name} {seat.response.t60_s[hz]:.2f} s" for seat in heard]
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


def _set(kind: str, dry: Sound, seats: Sequence[_Seat], rate_hz: int) -> list[tuple[str, bytes]]:
    wet = [_convolved(dry, seat.response.sound) for seat in seats]
    longest = max(map(len, wet))
    wet = [np.pad(sound, (0, longest - len(sound))) for sound in wet]
    loudest = max(float(np.abs(sound).max()) for sound in wet)
    levels = [a_weighted_rms(sound, rate_hz) for sound in wet]
    even = [sound / level for sound, level in zip(wet, levels, strict=True)]
    highest = max(float(np.abs(sound).max()) for sound in even)
    files = []
    for seat, true, equal in zip(seats, wet, even, strict=True):
        for folder, sound, most in (
            (TRUE, true, loudest),
            (EVEN, equal, highest),
        ):
            name = f"listening/{folder}/{kind}-{seat.name}.wav"
            files.append((name, _wav(PEAK * sound / most, rate_hz, simulated=seat.simulated)))
    return files


def _convolved(dry: Sound, response: Sound) -> Sound:
    """A dry sound as it is heard through a response, (frames of both less 1,)."""
    from scipy import fft

    frames = len(dry) + len(response) - 1
    size = fft.next_fast_len(frames, real=True)
    spectrum = fft.rfft(dry, size)
    spectrum *= fft.rfft(response, size)
    return np.asarray(fft.irfft(spectrum, size, overwrite_x=True)[:frames])


def a_weighted_rms(x: Sound, rate_hz: int) -> float:
    """A-weighted root mean square of a sound, (frames,). [1]"""
    f = np.fft.rfftfreq(len(x), 1 / rate_hz)
    gain = np.zeros_like(f)
    gain[1:] = 10 ** (a_weighting_db(f[1:]) / 20)
    weighted = np.fft.irfft(np.fft.rfft(x) * gain, len(x))
    return float(np.sqrt(np.mean(weighted**2)))


def _wav(x: Sound, rate_hz: int, *, simulated: bool) -> bytes:
    import soundfile as sf

    out = io.BytesIO()
    with sf.SoundFile(out, "w", rate_hz, 1, "PCM_16", format="WAV") as file:
        file.title = say("listening_simulated" if simulated else "listening_measured")
        file.write(x)
    return out.getvalue()
