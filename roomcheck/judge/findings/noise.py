"""Background noise and the speech transmission index, as findings.

The noise of fans, roads and neighbours is no fault of the room's surfaces: the finding says whose
work it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from statistics import fmean

from roomcheck.analyse import Analysis, NoiseLevel
from roomcheck.facts import fact
from roomcheck.judge.kinds import Certainty, FindingKind, LimitSource, Remedy
from roomcheck.judge.limits.audible import VOICE_FROM_HZ, lowest_heard_hz
from roomcheck.judge.results import Finding
from roomcheck.standards import Target
from roomcheck.standards.curves.noise_curves import NoiseRating
from roomcheck.standards.targets.background import NoiseLimit

JND_NOISE_DB = 3.0
"""A change of steady noise that everybody hears (common practice). [dB]"""

TONE_DB = 6.0
"""An octave so far over both its neighbours is called a hum or a whistle (common practice, there of
narrow lines)."""

WANTED_STI, JND_STI = 0.60, 0.03
"""STI from which speech is good (IEC 60268-16, as a meter's manual has it), and a change one just
hears (memory)."""


def too_noisy(levels: Sequence[NoiseLevel], limit: NoiseLimit | None) -> Finding | None:
    """Find the loudest recording that is over the limit; None where none is, or where no level is
    known."""
    if limit is None:
        return None
    known = [(level, noise) for noise in levels if (level := _level(noise, limit)) is not None]
    if not known:
        return None
    level, noise = max(known, key=lambda pair: pair[0])
    if level <= limit.value:
        return None
    rating = _rating(noise, limit)
    return Finding(
        measured=fact(
            FindingKind.NOISE,
            family=limit.family,
            level=level,
            limit=limit.value,
            curves_end=rating is not None and rating.value is None,
            conditions=noise.conditions,
            band_hz=rating.band_hz if rating else None,
            tone_hz=_tone_hz(noise),
        ),
        source=fact(LimitSource.DOCUMENT, document=limit.source),
        remedies=(
            fact(Remedy.SWITCH_OFF),
            fact(Remedy.VENTILATION_FIRM),
            fact(Remedy.PANELS_QUIETEN_LITTLE),
        ),
        beyond_jnd=(level - limit.value) / JND_NOISE_DB,
        sure=(fact(Certainty.CALIBRATED),),
    )


def _rating(noise: NoiseLevel, limit: NoiseLimit) -> NoiseRating | None:
    ratings = {"NC": noise.nc, "NR": noise.nr}
    return ratings.get(limit.family)


def _level(noise: NoiseLevel, limit: NoiseLimit) -> float | None:
    """The noise in the limit's own terms; where the published curves end below it, their end."""
    if not noise.absolute:
        return None
    if limit.family == "dB(A)":
        return noise.a_weighted_db
    rating = _rating(noise, limit)
    if rating is None:
        return None
    return rating.end if rating.beyond == "above" else rating.value


def _tone_hz(noise: NoiseLevel) -> float | None:
    """An octave that stands over both its neighbours. [Hz]"""
    pairs = list(pairwise(noise.octaves_db))
    for (low, middle), (_, high) in pairwise(pairs):
        if min(middle[1] - low[1], middle[1] - high[1]) > TONE_DB:
            return middle[0]
    return None


def low_speech_index(analysis: Analysis, target: Target) -> Finding | None:
    """Find a speech transmission index below what speech needs, in rooms for speech."""
    if lowest_heard_hz(target.key) < VOICE_FROM_HZ:
        return None
    known = [
        (position, float(position.speech.sti))
        for position in analysis.positions
        if position.speech is not None and position.speech.sti is not None
    ]
    if not known:
        return None
    mean = fmean(sti for _, sti in known)
    worst, least = min(known, key=lambda pair: pair[1])
    if mean >= WANTED_STI - JND_STI:
        return None
    return Finding(
        measured=fact(
            FindingKind.POOR_SPEECH_INDEX,
            sti=mean,
            limit_sti=WANTED_STI,
            jnd_sti=JND_STI,
            pairs=len(known),
            least_sti=least,
            source=worst.source,
            microphone=worst.microphone,
        ),
        source=fact(LimitSource.IEC_60268_16),
        remedies=(
            fact(Remedy.FACE_THE_LISTENERS),
            fact(Remedy.ABSORB_LATE),
            fact(Remedy.NOISE_FIRST),
        ),
        beyond_jnd=(WANTED_STI - mean) / JND_STI,
    )
