"""One visit: the decays of every take, their means over the positions, and what ISO 3382-2 makes of
them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise
from statistics import fmean
from typing import Any

from roomcheck.analyse.band.kinds import DecayWarning, Reason
from roomcheck.analyse.decay.chance import edt_sd_s
from roomcheck.analyse.decay.response import decays
from roomcheck.analyse.decay.results import BandDecay
from roomcheck.analyse.echoes.flutter import flutter
from roomcheck.analyse.echoes.reflections import reflections
from roomcheck.analyse.means import BandMean, MeanRemark
from roomcheck.analyse.modes.low_frequencies import modes_of_visit
from roomcheck.analyse.modes.spectrum import response_of
from roomcheck.analyse.places.would_fit import with_moves
from roomcheck.analyse.speech.background import noise_level
from roomcheck.analyse.speech.rattles import common_rattles
from roomcheck.analyse.speech.speech import speech_index
from roomcheck.analyse.visit.few_places import (
    CENTRE_DIFFERS_S,
    CLARITY_DIFFERS_DB,
    DEFINITION_DIFFERS,
    PlaceValues,
    decay_values,
    estimates,
    other_values,
)
from roomcheck.analyse.visit.grade import grade, source_notes
from roomcheck.analyse.visit.repeats import together
from roomcheck.analyse.visit.results import Analysis, Grade, GradeLack, LeftOut, PositionDecays
from roomcheck.facts import Estimate, Fact, Kind, fact
from roomcheck.job import Job
from roomcheck.measure import Measurement, NoiseTake
from roomcheck.standards import iso_3382_2_2008 as iso
from roomcheck.units import MID_BANDS_HZ

MODES_LONGER_PCT, MODES_LONGER_BT_PCT = 13.0, 500.0
"""Where single modes rule, each place hears its own few, and the mean of the places' T20 is longer
than T20 of the energy averaged over them, the other mean that ISO 3382-2 allows (from memory): as a
share of itself by the second over bandwidth times T, at most the first. Root mean square over
made-up rooms of 18 to 43 m3: 12.5, 8.7 and 4.1 % at 125 Hz with T = 0.4, 0.6 and 1.0 s, 6.4 % at
63 Hz with 0.6 s, 4.9 and 3.6 % at 250 Hz with 0.6 and 1.0 s; 500 over bandwidth times T is 14,
9, 6, 19, 5 and 3 (our own figures; `benchmarks/low_octave.py`). [%], [%]"""

_WHOLE_VISIT = 2
"""Parts of the work that take the visit as a whole: about as long as so many takes."""

Known = tuple[float | None, float | None]
"""A number of one take and its standard deviation."""

Each = Callable[
    [Callable[[Measurement], PositionDecays], Sequence[Measurement]], Iterable[PositionDecays]
]
"""What works a function out for each take."""

Reading = tuple[float, float | None]
"""A number of one position and its standard deviation."""


def analyse(
    measurements: Sequence[Measurement],
    *,
    job: Job,
    visit: str,
    noise: Sequence[NoiseTake] = (),
    speech_snr_db: Sequence[float] | None = None,
    on_part: Callable[[int, int], None] | None = None,
    each: Each = map,
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
    on_part : callable, optional
        Gets, after each take and at the end, how many parts are done, and how many there are.
    each : callable
        Works a function out for each take, in order, as `map` does; for several cores.

    Returns
    -------
    Analysis
        Repeated takes of one source and microphone are averaged before the positions are.
    """
    kept = [m for m in measurements if m.check.keep]
    decayed = []
    for done, position in enumerate(each(partial(_decayed, speech_snr_db), kept), 1):
        decayed.append(position)
        if on_part is not None:
            on_part(done, len(kept) + _WHOLE_VISIT)
    positions = tuple(decayed)
    octaves, thirds = band_means(positions, 1), band_means(positions, 3)
    transition = transition_hz(octaves, job.room.volume_m3)
    mid = _mid(octaves, transition)
    speed = job.speed_of_sound_m_s(visit)
    octaves = _with_single_modes(octaves, transition)
    noted = job.visit(visit)
    directed = noted is None or not noted.omnidirectional
    reached, lacking = _grade(kept, positions, job, mid[0], speed, directed)
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
        lacking=lacking,
        left_out=tuple(
            LeftOut(take=m.take, reasons=m.check.reasons) for m in measurements if not m.check.keep
        ),
        noise=tuple(noise_level(take) for take in noise),
        signals=tuple(sorted({m.signal for m in kept if m.signal}, key=str)),
        reflections=with_moves(reflections(kept, job=job, visit=visit), kept, job, visit),
        flutter=flutter(job.room, [(m.source, m.microphone, m.response) for m in kept], speed),
        notes=source_notes(positions),
    )


def _decayed(speech_snr_db: Sequence[float] | None, m: Measurement) -> PositionDecays:
    """What one take says by itself."""
    return PositionDecays(
        source=m.source,
        microphone=m.microphone,
        take=m.take,
        octaves=decays(m.response, 1),
        thirds=decays(m.response, 3),
        speech=speech_index(m.response, speech_snr_db),
        direction=m.direction,
        stood_m=m.stood_m,
    )


def _grade(
    kept: Sequence[Measurement],
    positions: tuple[PositionDecays, ...],
    job: Job,
    mid_s: float | None,
    speed: float,
    directed: bool,
) -> tuple[Grade, tuple[Fact[GradeLack], ...]]:
    """The grade by positions and kinds of records, and what the next one lacks. [s], [m/s]"""
    reached, lacking = grade(positions, job, mid_s, speed, omnidirectional=not directed)
    survey = tuple(
        fact(
            GradeLack.SURVEY_RECORD,
            take=m.take,
            record=m.response.limits.why.kind,
            **dict(m.response.limits.why.values),
        )
        for m in kept
        if m.response.limits is not None
    )
    if survey and reached != "none":
        reached = "survey"
    directions = tuple(sorted({m.direction for m in kept if m.direction}))
    averaged = (fact(GradeLack.DIRECTIONS, directions=directions),) if directions else ()
    return reached, (*lacking, *survey, *averaged)


def band_means(positions: Iterable[PositionDecays], fraction: int) -> tuple[BandMean, ...]:
    """The mean of every band over the positions, each source and microphone counted once."""
    pairs: dict[tuple[str, str], list[tuple[BandDecay, ...]]] = {}
    for position in positions:
        bands = position.octaves if fraction == 1 else position.thirds
        pairs.setdefault((position.source, position.microphone), []).append(bands)
    rows = [[list(takes) for takes in zip(*repeats, strict=True)] for repeats in pairs.values()]
    by_band = [[list(pair) for pair in band] for band in zip(*rows, strict=True)]
    means = {
        name: estimates([values(band, fraction) for band in by_band])
        for name, values in _NUMBERS.items()
    }
    return tuple(
        _mean(band, {name: means[name][i] for name in means}) for i, band in enumerate(by_band)
    )


def _mean(pairs: list[list[BandDecay]], over_places: dict[str, Estimate | None]) -> BandMean:
    decays_ = [decay for takes in pairs for decay in takes]
    t20 = over_places["t20"]
    return BandMean(
        band_hz=pairs[0][0].band_hz,
        remarks=(*_remarks(decays_, t20.n if t20 else 0, len(pairs)), *_takes_differ(pairs)),
        withheld=_cases([[fact for band in takes for fact in band.withheld] for takes in pairs]),
        warnings=_cases([[fact for band in takes for fact in band.warnings] for takes in pairs]),
        **over_places,
    )


def _readings(pairs: list[list[BandDecay]], read: Callable[[BandDecay], Known]) -> list[Reading]:
    """A number and its standard deviation at every pair that has it.

    Takes of one pair share their room and are as unsure as one of them.
    """
    readings: list[Reading] = []
    for takes in pairs:
        known = [(value, sd) for value, sd in map(read, takes) if value is not None]
        if known:
            found = together(known)
            readings.append((found.value, found.sd))
    return readings


def _takes_differ(pairs: list[list[BandDecay]]) -> tuple[Fact[MeanRemark], ...]:
    """Takes whose T20 disagrees with that of their sisters: the worst, and how many pairs."""
    known = [[(b.t20_s, b.t20_sd_s) for b in takes if b.t20_s is not None] for takes in pairs]
    odd = [found for found in map(together, filter(None, known)) if found.odd is not None]
    if not odd:
        return ()
    worst = max(odd, key=lambda found: abs((found.odd or 0.0) / (found.sisters or 1.0) - 1))
    differ = fact(MeanRemark.TAKES_DIFFER, odd_s=worst.odd, sisters_s=worst.sisters, pairs=len(odd))
    return (differ,)


Values = Callable[[list[list[BandDecay]], int], PlaceValues | None]
"""What the pairs of one band show of a number: octaves 1, thirds 3."""


def _of_decay(
    read: Callable[[BandDecay], Known], chance_sd_s: Callable[[float, float, int], float]
) -> Values:
    """A decay time; its chance by value, band and fraction."""

    def values(pairs: list[list[BandDecay]], fraction: int) -> PlaceValues | None:
        band_hz = pairs[0][0].band_hz
        return decay_values(_readings(pairs, read), lambda t: chance_sd_s(t, band_hz, fraction))

    return values


def _of_other(read: Callable[[BandDecay], Known], places_differ: float) -> Values:
    def values(pairs: list[list[BandDecay]], fraction: int) -> PlaceValues | None:
        return other_values(_readings(pairs, read), places_differ)

    return values


def _edt_chance_s(edt_s: float, band_hz: float, fraction: int) -> float:
    return edt_sd_s(edt_s, iso.noise_bandwidth_hz(band_hz, fraction))


_NUMBERS: dict[str, Values] = {
    "edt": _of_decay(lambda band: (band.edt_s, band.edt_sd_s), _edt_chance_s),
    "t20": _of_decay(lambda band: (band.t20_s, band.t20_sd_s), iso.t20_sd_s),
    "t30": _of_decay(lambda band: (band.t30_s, band.t30_sd_s), iso.t30_sd_s),
    "c50": _of_other(lambda band: (band.c50_db, band.c50_sd_db), CLARITY_DIFFERS_DB),
    "c80": _of_other(lambda band: (band.c80_db, band.c80_sd_db), CLARITY_DIFFERS_DB),
    "d50": _of_other(lambda band: (band.d50, band.d50_sd), DEFINITION_DIFFERS),
    "ts": _of_other(lambda band: (band.ts_s, band.ts_sd_s), CENTRE_DIFFERS_S),
}
"""The estimates of a `BandMean`."""


def _remarks(bands: list[BandDecay], positions: int, pairs: int) -> tuple[Fact[MeanRemark], ...]:
    """How many positions stand behind a mean T20."""
    remarks = []
    if positions == 1:
        remarks.append(fact(MeanRemark.ONE_POSITION))
    if 0 < positions < pairs:
        too_short = [
            reason
            for band in bands
            for reason in band.withheld
            if reason.kind is Reason.FILTER_LIMITED and reason["number"] == "T20"
        ]
        remarks.append(
            fact(
                MeanRemark.SOME_POSITIONS,
                positions=positions,
                pairs=pairs,
                leans_long=bool(too_short),
            )
        )
    return tuple(remarks)


def _with_single_modes(
    octaves: tuple[BandMean, ...], transition: float | None
) -> tuple[BandMean, ...]:
    """Say of the octaves that single modes rule what a mean over their places is, and how sure it
    is of the room's decay. [Hz]"""
    if transition is None:
        return octaves
    return tuple(
        _ruled_by_modes(octave, octave.t20, transition)
        if octave.t20 is not None and octave.band_hz < transition
        else octave
        for octave in octaves
    )


def _ruled_by_modes(octave: BandMean, t20: Estimate, transition: float) -> BandMean:
    bt = iso.noise_bandwidth_hz(octave.band_hz, 1) * t20.value
    longer_pct = min(MODES_LONGER_PCT, MODES_LONGER_BT_PCT / bt)
    said = fact(
        MeanRemark.SINGLE_MODES,
        transition_hz=transition,
        longer_pct=longer_pct,
        places_u_s=t20.u,
    )
    return replace(
        octave,
        t20=_less_sure_of_the_room(t20, longer_pct),
        t30=octave.t30 and _less_sure_of_the_room(octave.t30, longer_pct),
        remarks=(*octave.remarks, said),
        withheld=tuple(map(_or_modes_beat, octave.withheld)),
        warnings=tuple(map(_or_modes_beat, octave.warnings)),
    )


def _or_modes_beat(one: Fact[Any]) -> Fact[Any]:
    """Two modes close together swell again by themselves: what disturbs may be that."""
    if one.kind not in (Reason.DISTURBED, DecayWarning.DISTURBED):
        return one
    return fact(one.kind, **dict(one.values), modes=True)


def _less_sure_of_the_room(mean: Estimate, longer_pct: float) -> Estimate:
    """The mean with what no number of places tells: the other mean lies anywhere within so much of
    it, as likely here as there, which is a standard uncertainty of that over the root of 3 (JCGM
    100:2008, 4.3.7; from memory)."""
    if mean.u is None:
        return mean
    more_s = longer_pct / 100 / math.sqrt(3) * mean.value
    return replace(mean, u=math.hypot(mean.u, more_s))


def _cases(pairs: Iterable[Iterable[Fact[Any]]]) -> tuple[Fact[Any], ...]:
    """One fact for each kind and number, the gravest, with how many pairs have the like."""
    alike: dict[tuple[Kind, str | None], list[Fact[Any]]] = {}
    for facts in pairs:
        for one_fact in dict.fromkeys(facts):
            key = (one_fact.kind, one_fact.get("number"))
            alike.setdefault(key, []).append(one_fact)
    groups = sorted(alike.values(), key=lambda group: (-len(group), str(group[0])))
    return tuple(_gravest(group) for group in groups)


def _gravest(group: list[Fact[Any]]) -> Fact[Any]:
    gravest = max(group, key=lambda one_fact: (one_fact.get("lacking_db", 0.0), str(one_fact)))
    return fact(gravest.kind, **dict(gravest.values), cases=len(group))


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

    >>> flat = [BandMean(band_hz=f, t20=Estimate(value=0.5)) for f in (125.0, 250.0)]
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
