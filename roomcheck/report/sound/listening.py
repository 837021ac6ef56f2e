"""Files to listen to: the seat before, as predicted after, and as measured after.

A dry sound is convolved with the measured response. What is predicted is simulated: the response
measured before, with every octave dying away as fast as the plan says; the early reflections stay
those of the untreated room.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Analysis
from roomcheck.job import Job
from roomcheck.measure import ImpulseResponse, Measurement
from roomcheck.predict import Prediction
from roomcheck.report.sound.dry_signals import claps, voice
from roomcheck.standards.iec_61672_1_2013 import a_weighting_db
from roomcheck.units import OCTAVES_HZ
from roomcheck.words import say

PEAK = 10 ** (-3 / 20)
"""Highest sample of the loudest file. [1]"""

KEPT_S = 3.0
"""Of a response, at most. [s]"""

LEAD_S = 0.005
"""Kept ahead of the direct sound. [s]"""

Sound = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seat:
    """A response at the seat, and what to call it."""

    name: str
    response: Sound
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
    seats = []
    if first:
        untreated = _trimmed(first.response)
        seats.append(_Seat(name="1-before", response=untreated))
        if analysis and prediction:
            treated = _as_predicted(untreated, rate_hz, analysis, prediction)
            name = "2-after-as-predicted-SIMULATED"
            seats.append(_Seat(name=name, response=treated, simulated=True))
    if second:
        measured = _trimmed(_at_rate(second.response, rate_hz))
        seats.append(_Seat(name="3-after-as-measured", response=measured))
    files = []
    for kind, dry in (("voice", voice(rate_hz)), ("claps", claps(rate_hz))):
        files += _set(kind, dry, seats, rate_hz)
    about = say("listening_about", source=pair[0], microphone=pair[1])
    return [*files, ("listening/READ-ME.txt", about.encode())]


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
    from scipy.signal import resample_poly

    if response.rate_hz == rate_hz:
        return response
    up, down = (
        rate_hz // gcd(rate_hz, response.rate_hz),
        response.rate_hz // gcd(rate_hz, response.rate_hz),
    )
    return ImpulseResponse(samples=resample_poly(response.samples, up, down), rate_hz=rate_hz)


def _trimmed(response: ImpulseResponse) -> Sound:
    """From just before the direct sound to the end of what is kept, with a soft end."""
    x = response.samples
    first = max(int(np.argmax(np.abs(x))) - round(LEAD_S * response.rate_hz), 0)
    kept = x[first : first + round(KEPT_S * response.rate_hz)].copy()
    fade = max(len(kept) // 10, 1)
    kept[-fade:] *= np.cos(np.linspace(0, np.pi / 2, fade)) ** 2
    return np.asarray(kept)


def _as_predicted(x: Sound, rate_hz: int, analysis: Analysis, prediction: Prediction) -> Sound:
    """The response before with its octaves dying away as predicted, (frames,); octaves without a
    number as they are."""
    t = np.arange(len(x)) / rate_hz - LEAD_S
    predicted = np.zeros(len(x))
    for band_hz, part in octave_parts(x, rate_hz).items():
        was = analysis.octave(band_hz)
        will = next((b.likely_s for b in prediction.after if b.band_hz == band_hz), None)
        steeper = 0.0
        if was is not None and was.t20_s and will:
            steeper = 3 * np.log(10) * (1 / will - 1 / was.t20_s)
        predicted += part * np.exp(-steeper * np.maximum(t, 0.0))
    return predicted


def octave_parts(x: Sound, rate_hz: int) -> dict[float, Sound]:
    """A sound in octave parts that add up to it again, lowest and highest open-ended, (frames,)
    each.

    Zero-phase, crossing over in a raised cosine between octave centres: for listening, not for
    measuring.
    """
    centres = [band_hz for band_hz in OCTAVES_HZ if band_hz < rate_hz / 2]
    n = 2 * len(x)
    octaves = np.log2(np.maximum(np.fft.rfftfreq(n, 1 / rate_hz), 1.0) / centres[0])
    place = np.clip(octaves, 0, len(centres) - 1)
    spectrum = np.fft.rfft(x, n)
    parts = {}
    for i, hz in enumerate(centres):
        away = np.minimum(np.abs(place - i), 1.0)
        parts[hz] = np.fft.irfft(spectrum * np.cos(np.pi / 2 * away) ** 2, n)[: len(x)]
    return parts


def _set(kind: str, dry: Sound, seats: Sequence[_Seat], rate_hz: int) -> list[tuple[str, bytes]]:
    from scipy.signal import fftconvolve

    wet = [fftconvolve(dry, seat.response) for seat in seats]
    loudest = max(float(np.abs(sound).max()) for sound in wet)
    levels = [a_weighted_rms(sound, rate_hz) for sound in wet]
    even = [sound / level for sound, level in zip(wet, levels, strict=True)]
    highest = max(float(np.abs(sound).max()) for sound in even)
    files = []
    for seat, true, equal in zip(seats, wet, even, strict=True):
        for folder, sound, most in (
            ("as-loud-as-it-is", true, loudest),
            ("equally-loud", equal, highest),
        ):
            name = f"listening/{folder}/{kind}-{seat.name}.wav"
            files.append((name, _wav(PEAK * sound / most, rate_hz, simulated=seat.simulated)))
    return files


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
