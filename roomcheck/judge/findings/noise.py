"""Background noise and the speech transmission index, as findings.

The noise of fans, roads and neighbours is no fault of the room's surfaces: the finding says whose
work it is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from statistics import fmean

from roomcheck.analyse import Analysis, NoiseLevel
from roomcheck.judge.kinds import FindingKind
from roomcheck.judge.limits.lowest import VOICE_FROM_HZ, lowest_heard_hz
from roomcheck.judge.results import Finding
from roomcheck.standards import Target
from roomcheck.standards.iec_60268_16_2020 import rating
from roomcheck.standards.targets.background import NoiseLimit
from roomcheck.units import band_name, digits_against_limit

JND_NOISE_DB = 3.0
"""A change of steady noise that everybody hears (common practice). [dB]"""

TONE_DB = 6.0
"""An octave so far over both its neighbours is called a hum or a whistle (common practice, there of
narrow lines)."""

WANTED_STI, JND_STI = 0.60, 0.03
"""STI from which speech is good (IEC 60268-16, as a meter's manual has it), and a change one just
hears (memory)."""


def too_noisy(levels: Sequence[NoiseLevel], limit: NoiseLimit | None) -> Finding | None:
    """The loudest recording that is over the limit; None where none is, or where no level is
    known."""
    over = [
        (value - limit.value, value, noise)
        for noise in levels
        if limit and (value := _value(noise, limit))
    ]
    if limit is None or not over:
        return None
    by, value, noise = max(over, key=lambda found: found[0])
    if by <= 0:
        return None
    said, bound = digits_against_limit(value, limit.value, 0)
    rated = {"NC": noise.nc, "NR": noise.nr}.get(limit.family)
    if rated is not None and rated.value is None:
        said = f"{said} and more (the published curves end there)"
    tone = _tone(noise)
    octave = f", by the {band_name(rated.band_hz)} octave" if rated else ""
    return Finding(
        kind=FindingKind.NOISE,
        title="Noisy before anybody speaks",
        sentence="It is the noise in the room that disturbs, a fan, a machine or what comes in from outside; it is not "
        "the room's own sound.",
        evidence=f"{limit.family} {said} with {noise.conditions or 'nothing noted'}{octave}."
        + (
            "" if tone is None else f" The {band_name(tone)} octave stands out: a hum or a whistle."
        ),
        threshold=f"{limit.family} {bound} at most: {limit.source}.",
        remedies=(
            "Free: switch ventilation, computers and lamps off one after another and listen "
            "which it is; shut the windows.",
            "Not a panel job: a heating and ventilation firm slows the fan, mends or lines the "
            "duct; noise through walls, doors and windows is a builder's work.",
            (
                "Panels take a little off noise that is in the room already, 3 dB where the "
                "absorption doubles."
            ),
        ),
        beyond_jnd=by / JND_NOISE_DB,
        sure="The level is absolute: a calibrated recording.",
    )


def _value(noise: NoiseLevel, limit: NoiseLimit) -> float | None:
    """The noise in the limit's own terms; where the published curves end below it, their end."""
    if not noise.absolute:
        return None
    if limit.family == "dB(A)":
        return noise.a_weighted_db
    found = noise.nc if limit.family == "NC" else noise.nr
    if found is None:
        return None
    return found.end if found.beyond == "above" else found.value


def _tone(noise: NoiseLevel) -> float | None:
    """An octave that stands over both its neighbours. [Hz]"""
    pairs = list(pairwise(noise.octaves_db))
    for (low, middle), (_, high) in pairwise(pairs):
        if min(middle[1] - low[1], middle[1] - high[1]) > TONE_DB:
            return middle[0]
    return None


def low_speech_index(analysis: Analysis, target: Target) -> Finding | None:
    """Speech transmission index below what speech needs, in rooms for speech."""
    if lowest_heard_hz(target.key) < VOICE_FROM_HZ:
        return None
    found = [
        (p, float(index.sti))
        for p in analysis.positions
        if (index := p.speech) is not None and index.sti is not None
    ]
    if not found:
        return None
    mean, (worst, least) = fmean(sti for _, sti in found), min(found, key=lambda pair: pair[1])
    if mean >= WANTED_STI - JND_STI:
        return None
    said, bound = digits_against_limit(math.floor(mean * 1000) / 1000, WANTED_STI, 2)
    return Finding(
        kind=FindingKind.POOR_SPEECH_INDEX,
        title="Speech is hard to follow",
        sentence=f"Words get lost between talker and listener: intelligibility is {rating(mean)}.",
        evidence=f"Speech transmission index {said} on the mean of {len(found)} pairs; least, {least:.2f}, from "
        f"{worst.source} to {worst.microphone}.",
        threshold=f"{bound} and more is good: IEC 60268-16:2020, as a meter's manual has it; less {JND_STI:.2f} that "
        "one just hears.",
        remedies=(
            (
                "Free: bring talker and listener closer together, and turn the loudspeaker or the "
                "talker to the listeners."
            ),
            (
                "Absorb what arrives late: the ceiling beyond the talker, and the wall behind the "
                "listeners."
            ),
            "Where noise is what hides the words, that comes first, and it is not a panel job.",
        ),
        beyond_jnd=(WANTED_STI - mean) / JND_STI,
    )
