"""One visit: the decays of every take, their means over the positions, and what ISO 3382-2 makes of
them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean, stdev

from roomcheck.analyse.decay.decay_reasons import TOO_SHORT
from roomcheck.analyse.decay.response import decays
from roomcheck.analyse.echoes.flutter import flutter
from roomcheck.analyse.echoes.reflections import reflections, speed_m_s
from roomcheck.analyse.modes.low_frequencies import modes_of_visit
from roomcheck.analyse.modes.spectrum import response_of
from roomcheck.analyse.results import Analysis, BandDecay, BandMean, PositionDecays
from roomcheck.analyse.speech.background import noise_level
from roomcheck.analyse.speech.rattles import common_rattles
from roomcheck.analyse.speech.speech import speech_index
from roomcheck.analyse.visit.grade import grade, source_notes
from roomcheck.job import Job
from roomcheck.measure import Measurement, NoiseTake
from roomcheck.standards import iso_3382_2_2008 as iso
from roomcheck.standards import speed_of_sound_m_s

MID_BANDS_HZ = (500.0, 1000.0)


def analyse(
    measurements: Sequence[Measurement],
    *,
    job: Job,
    visit: str,
    noise: Sequence[NoiseTake] = (),
    speech_snr_db: Sequence[float] | None = None,
) -> Analysis:
    """What the takes of one visit say about the room.

    Parameters
    ----------
    measurements : sequence of Measurement
        Takes whose check says "repeat" are left out, and named.
    job : Job
        For its volume and positions.
    visit : str
        "before" or "after".
    noise : sequence of NoiseTake
        The visit's recordings of the background noise.
    speech_snr_db : (7,), optional
        Speech over noise, octaves 125 Hz to 8 kHz, for the speech transmission index. [dB]

    Returns
    -------
    Analysis
        Repeated takes of one source and microphone are averaged before the positions are.
    """
    kept = [m for m in measurements if m.check.keep]
    positions = tuple(
        PositionDecays(
            source=m.source,
            microphone=m.microphone,
            take=m.take,
            octaves=decays(m.response, 1),
            thirds=decays(m.response, 3),
            speech=speech_index(m.response, speech_snr_db),
            direction=m.direction,
            stood_m=m.stood_m,
        )
        for m in kept
    )
    octaves, thirds = band_means(positions, 1), band_means(positions, 3)
    transition = transition_hz(octaves, job.room.volume_m3)
    mid = _mid(octaves, transition)
    conditions = job.visit(visit)
    speed = speed_of_sound_m_s(conditions.temperature_c if conditions else 20.0)
    reached, lacking = grade(positions, job, mid[0], speed)
    survey = tuple(
        f"{m.take}: {m.response.limits.why}" for m in kept if m.response.limits is not None
    )
    if survey and reached not in ("none", "survey"):
        reached = "survey"
    lacking += survey + _directions(kept)
    refused = tuple(
        f"{m.take} is left out: {'; '.join(map(str, m.check.reasons))}"
        for m in measurements
        if not m.check.keep
    )
    responses = [response_of(m.response, m.source, m.microphone, m.swept_hz) for m in kept]
    return Analysis(
        visit=visit,
        positions=positions,
        octaves=octaves,
        thirds=thirds,
        transition_hz=transition,
        modes=modes_of_visit(kept, job, visit, transition, octaves),
        responses=tuple(r for r in responses if r is not None),
        rattles=common_rattles(measurements),
        mid_s=mid[0],
        mid_u_s=mid[1],
        grade=reached,
        lacking=lacking + refused,
        noise=tuple(noise_level(take) for take in noise),
        signals=tuple(sorted({str(m.signal) for m in kept if m.signal})),
        reflections=reflections(kept, job=job, visit=visit),
        flutter=flutter(
            job.room, [(m.source, m.microphone, m.response) for m in kept], speed_m_s(job, visit)
        ),
        notes=source_notes(positions),
    )


def _directions(kept: Sequence[Measurement]) -> tuple[str, ...]:
    """Which directions of a source were averaged."""
    ways = sorted({m.direction for m in kept if m.direction})
    if not ways:
        return ()
    return (f"Averaged over the directions of the source: {', '.join(ways)}.",)


def band_means(positions: Iterable[PositionDecays], fraction: int) -> tuple[BandMean, ...]:
    """The mean of every band over the positions, each source and microphone counted once."""
    pairs: dict[tuple[str, str], list[tuple[BandDecay, ...]]] = {}
    for position in positions:
        bands = position.octaves if fraction == 1 else position.thirds
        pairs.setdefault((position.source, position.microphone), []).append(bands)
    rows = [[list(takes) for takes in zip(*repeats, strict=True)] for repeats in pairs.values()]
    return tuple(_mean([list(pair) for pair in band], fraction) for band in zip(*rows, strict=True))


@dataclass(frozen=True, slots=True)
class _Over:
    """One number over the positions: mean, spread, standard uncertainty of the mean, how many."""

    mean: float | None = None
    spread: float | None = None
    u: float | None = None
    count: int = 0


def _mean(pairs: list[list[BandDecay]], fraction: int) -> BandMean:
    edt, t20, t30 = (
        _over(pairs, name, f"{name[:3]}_sd_s", fraction) for name in ("edt_s", "t20_s", "t30_s")
    )
    c50, c80 = (_over(pairs, f"{name}_db", f"{name}_sd_db", fraction) for name in ("c50", "c80"))
    d50, ts = _over(pairs, "d50", "d50_sd", fraction), _over(pairs, "ts_s", "ts_sd_s", fraction)
    return BandMean(
        band_hz=pairs[0][0].band_hz,
        edt_s=edt.mean,
        t20_s=t20.mean,
        t30_s=t30.mean,
        c50_db=c50.mean,
        c80_db=c80.mean,
        d50=d50.mean,
        ts_s=ts.mean,
        t20_u_s=t20.u,
        t20_spread_s=t20.spread,
        positions=t20.count,
        reasons=_reasons(pairs, t20.count),
        edt_u_s=edt.u,
        t30_u_s=t30.u,
        c50_u_db=c50.u,
        c80_u_db=c80.u,
        d50_u=d50.u,
        ts_u_s=ts.u,
        edt_spread_s=edt.spread,
        t30_spread_s=t30.spread,
        c50_spread_db=c50.spread,
        c80_spread_db=c80.spread,
        d50_spread=d50.spread,
        ts_spread_s=ts.spread,
    )


def _over(pairs: list[list[BandDecay]], name: str, sd_name: str, fraction: int) -> _Over:
    """A number's mean over the pairs that have it, each pair's takes averaged first.

    Takes of one pair share their room and are as unsure as one of them.
    """
    known = [
        (fmean(value for value, _ in takes), fmean(sd for _, sd in takes))
        for pair in pairs
        if (
            takes := [
                (getattr(b, name), getattr(b, sd_name))
                for b in pair
                if getattr(b, name) is not None
            ]
        )
    ]
    if not known:
        return _Over()
    values = [value for value, _ in known]
    mean, spread = fmean(values), stdev(values) if len(values) > 1 else None
    if name == "t20_s":
        return _Over(
            mean,
            spread,
            t20_uncertainty_s(mean, spread, len(values), pairs[0][0].band_hz, fraction),
            len(known),
        )
    chance = math.hypot(*(sd for _, sd in known)) / len(known)
    return _Over(mean, spread, max(chance, (spread or 0.0) / math.sqrt(len(known))), len(known))


def t20_uncertainty_s(
    mean_s: float, spread_s: float | None, positions: int, band_hz: float, fraction: int = 1
) -> float:
    """Standard uncertainty of a mean T20: what the positions show or what chance alone gives,
    whichever is more. [s]

    Few positions can agree by luck, so the standard deviation of ISO 3382-2, Annex A, is the least.
    """
    chance = iso.t20_sd_s(mean_s, band_hz, fraction, positions, iso.RESPONSE_AS_DECAYS)
    return max(chance, (spread_s or 0.0) / math.sqrt(positions))


def _reasons(pairs: list[list[BandDecay]], have: int) -> tuple[str, ...]:
    said: list[str] = []
    if have == 1:
        said.append("One position: the spread over the room is not known.")
    if 0 < have < len(pairs):
        short = any(
            TOO_SHORT in reason for takes in pairs for band in takes for reason in band.reasons
        )
        leans = (
            " Those left out were too short for the filter, so that this mean leans long."
            if short
            else ""
        )
        said.append(f"T20 from {have} of {len(pairs)} positions.{leans}")
    alike: dict[str, list[str]] = {}
    for takes in pairs:
        for reason in {reason for band in takes for reason in band.reasons}:
            alike.setdefault(re.sub(r"\d[\d.,]*", "#", reason), []).append(reason)
    # What differs in its figures alone is said once, with how many say the like.
    for group in sorted(alike.values(), key=lambda group: (-len(group), sorted(group))):
        said.append(
            sorted(group)[-1] + (f" (So or alike {len(group)} times.)" if len(group) > 1 else "")
        )
    return tuple(said)


def _mid(
    octaves: tuple[BandMean, ...], transition: float | None
) -> tuple[float | None, float | None]:
    """Mean T20 of 500 and 1000 Hz; none where single modes still ring in one of them."""
    if transition is not None and transition > MID_BANDS_HZ[0]:
        return None, None
    both = [band for band in octaves if band.band_hz in MID_BANDS_HZ and band.t20_s is not None]
    if len(both) < len(MID_BANDS_HZ):
        return None, None
    return fmean(band.t20_s or 0.0 for band in both), math.hypot(
        *(band.t20_u_s or 0.0 for band in both)
    ) / len(both)


def transition_hz(octaves: Sequence[BandMean], volume_m3: float) -> float | None:
    r"""Where modes give way to a reverberation: :math:`f = 2000\sqrt{T(f)/V}`, T read between the
    octaves. [Hz]

    The highest frequency that fits, so that everything above it is above its own transition. None
    where no octave has a T20.

    >>> flat = [BandMean(band_hz=f, t20_s=0.5, edt_s=None, t30_s=None, c50_db=None, c80_db=None, d50=None, ts_s=None,
    ...     t20_u_s=None, t20_spread_s=None, positions=1) for f in (125.0, 250.0)]
    >>> transition_hz(flat, 50.0)
    200.0

    References
    ----------
    M. R. Schroeder, "The 'Schroeder frequency' revisited", J. Acoust. Soc. Am. 99 (1996) 3240.
    """
    known = [(math.log(band.band_hz), band.t20_s) for band in octaves if band.t20_s is not None]
    if not known:
        return None

    def excess(log_f: float) -> float:
        return math.exp(log_f) - 2000 * math.sqrt(_between(known, log_f) / volume_m3)

    high = math.log(20_000.0)
    low = high
    while excess(low) > 0:
        low -= math.log(2) / 12
    high = low + math.log(2) / 12
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (low, middle) if excess(middle) > 0 else (middle, high)
    return round(math.exp(high), 9)


def _between(known: list[tuple[float, float]], at: float) -> float:
    if at <= known[0][0]:
        return known[0][1]
    for (x0, y0), (x1, y1) in pairwise(known):
        if at <= x1:
            return y0 + (y1 - y0) * (at - x0) / (x1 - x0)
    return known[-1][1]
