"""Boomy, dull, uneven: bands that do not go together."""

from __future__ import annotations

import math
from statistics import fmean

from roomcheck.job import Job
from roomcheck.judge.findings.length import JND_DECAY, band_names
from roomcheck.judge.kinds import FindingKind
from roomcheck.judge.limits.decide import COVERAGE
from roomcheck.judge.results import BandVerdict, Finding
from roomcheck.standards import Target
from roomcheck.units import digits_against_limit

BASS_RATIO, BASS_RATIO_SMALL, SMALL_M3 = 1.5, 1.3, 100.0
"""T(125 Hz) / T(500 Hz) above which a room is called boomy; the second in rooms up to 100 m3
(common practice)."""

TREBLE_RATIO = 0.6
"""T(4 kHz) / T(250 Hz) below which a room is called dull (common practice)."""

_DEEP = (
    "Absorb low: pieces 4 in deep or more with air behind them, in corners first. Thin panels do "
    "not reach there."
)
_TRADE = "common practice"


def boomy(job: Job, target: Target, bands: tuple[BandVerdict, ...]) -> Finding | None:
    """Bass that rings on longer than the middle.

    Where the target itself lets 125 Hz be longer, that ratio counts if it is larger. Below the
    transition frequency this compares ringing modes with the middle's decay and says so: nothing
    there is held against a limit.
    """
    low, middle = _band(bands, 125.0), _band(bands, 500.0)
    if low is None or middle is None or middle.outcome == "modal" or low.outcome == "within":
        return None
    threshold = max(
        BASS_RATIO_SMALL if job.room.volume_m3 <= SMALL_M3 else BASS_RATIO, _allowed(target)
    )
    ratio, u = _ratio(low, middle)
    if ratio is None or u is None or ratio - COVERAGE * u <= threshold:
        return None
    modes = " (single modes, below the transition frequency)" if low.outcome == "modal" else ""
    said, bound = digits_against_limit(ratio, threshold, 1)
    return Finding(
        kind=FindingKind.BOOMY,
        title="Boomy",
        sentence=f"The bass rings on {said} times as long as the middle: voices and music boom.",
        evidence=f"125 Hz {low.value_s:.2f} s{modes}, 500 Hz {middle.value_s:.2f} s.",
        threshold=f"Bass more than {bound} times as long as the middle: {_TRADE}.",
        remedies=(
            "Free: move the talker, the microphone or the loudspeaker out of the corner, off "
            "the walls and off the middle of the room, and listen again.",
            _DEEP,
            "More thin panels would make it worse: they shorten the middle and leave the bass.",
        ),
        beyond_jnd=(ratio / threshold - 1) / JND_DECAY,
        figure="decays",
    )


def dull(bands: tuple[BandVerdict, ...]) -> Finding | None:
    """Treble that dies long before the low middle."""
    low, high = _band(bands, 250.0), _band(bands, 4000.0)
    if low is None or high is None or low.outcome == "modal" or high.outcome == "modal":
        return None
    ratio, u = _ratio(high, low)
    if ratio is None or u is None or ratio + COVERAGE * u >= TREBLE_RATIO:
        return None
    said, bound = digits_against_limit(ratio, TREBLE_RATIO, 1)
    return Finding(
        kind=FindingKind.DULL,
        title="Dull",
        sentence="The treble dies long before the rest: the room sounds muffled.",
        evidence=f"4 kHz {high.value_s:.2f} s, 250 Hz {low.value_s:.2f} s: {said} times.",
        threshold=f"Treble less than {bound} times as long as the low middle: {_TRADE}.",
        remedies=(
            "Free: take down some of the thin panels, foam, carpet or curtains, and listen again.",
            "Give absorbers a slatted or diffusing face; make what is added deep rather than wide.",
        ),
        beyond_jnd=(TREBLE_RATIO / ratio - 1) / JND_DECAY,
        figure="decays",
    )


def uneven(target: Target, bands: tuple[BandVerdict, ...], mid: BandVerdict) -> Finding | None:
    """Octaves that stand out from the rest.

    Where the target says how even the decay must be, octaves are held against the mean over its
    judged octaves, and in a room that is too live as a whole the allowance grows with the mean.
    Where it does not, octaves count that miss their own limits while the mean does not miss on the
    same side.
    """
    judged = [
        b for b in bands if target.limit(b.band_hz) and b.outcome not in ("modal", "not measured")
    ]
    if len(judged) < 2:
        return None
    held_to_mean = target.evenness_s is not None or target.evenness_pct is not None
    out = _off_the_mean(target, judged) if held_to_mean else _off_their_limits(judged, mid)
    if not out:
        return None
    long, short = [b for b, by in out if by > 0], [b for b, by in out if by < 0]
    return Finding(
        kind=FindingKind.UNEVEN,
        title="Uneven",
        sentence=(
            f"Some pitches {_how(long, short)} than the rest: the room colours what is said and "
            "played in it."
        ),
        evidence="; ".join(f"{band_names([b.band_hz])} {b.value_s:.2f} s" for b, _ in out)
        + f"; mean of the judged octaves {_mean(judged):.2f} s.",
        threshold=_evenness(target),
        remedies=_remedies(long, short),
        beyond_jnd=max(abs(by) for _, by in out) / JND_DECAY,
        figure="decays",
    )


def _off_the_mean(target: Target, judged: list[BandVerdict]) -> list[tuple[BandVerdict, float]]:
    """Octaves further from the mean than allowed, and by which fraction of the mean. [1]"""
    mean = _mean(judged)
    if target.evenness_s is not None:
        allowed = target.evenness_s * max(1.0, mean / (target.mid_high_s or mean))
    else:
        allowed = (target.evenness_pct or 0.0) / 100 * mean
    found = []
    for band in judged:
        off = (band.value_s or mean) - mean
        if band.u_s is not None and abs(off) - COVERAGE * band.u_s > allowed:
            found.append((band, math.copysign(abs(off) - allowed, off) / mean))
    return found


def _off_their_limits(
    judged: list[BandVerdict], mid: BandVerdict
) -> list[tuple[BandVerdict, float]]:
    found = []
    for band in judged:
        if band.value_s is None or band.outcome == mid.outcome:
            continue
        if band.outcome == "too long" and band.high_s is not None:
            found.append((band, band.value_s / band.high_s - 1))
        elif band.outcome == "too short" and band.low_s is not None:
            found.append((band, 1 - band.low_s / band.value_s))
    return found


def _evenness(target: Target) -> str:
    if target.evenness_s is not None:
        return f"An octave within {target.evenness_s:g} s of the mean: {target.source}."
    if target.evenness_pct is not None:
        return f"An octave within {target.evenness_pct:g} % of the mean: {target.source}."
    return f"The limits of each octave: {target.source}."


def _how(long: list[BandVerdict], short: list[BandVerdict]) -> str:
    return {
        (True, True): "hang on longer and others die sooner",
        (True, False): "hang on longer",
    }.get((bool(long), bool(short)), "die sooner")


def _remedies(long: list[BandVerdict], short: list[BandVerdict]) -> tuple[str, ...]:
    found = ["Free: spread what hangs on one surface already over two or three, and listen again."]
    if any(b.band_hz <= 250 for b in long):
        found.append(_DEEP)
    if any(b.band_hz > 250 for b in long):
        found.append(
            "Panels of 2 in on the bare surfaces bring the middle and the treble down to the rest."
        )
    if any(b.band_hz >= 1000 for b in short):
        found.append(
            "Replace thin absorbers by deep ones with a slatted face: less treble taken, more bass."
        )
    if any(b.band_hz < 1000 for b in short):
        found.append(
            "Panelling and thin boards over air take the low middle: stiffen them, or fill "
            "behind fewer."
        )
    return tuple(found)


def _allowed(target: Target) -> float:
    limit = target.limit(125.0)
    if limit is None or limit.high_s is None or not target.mid_high_s:
        return 0.0
    return limit.high_s / target.mid_high_s


def _ratio(top: BandVerdict, bottom: BandVerdict) -> tuple[float | None, float | None]:
    if not top.value_s or not bottom.value_s:
        return None, None
    ratio = top.value_s / bottom.value_s
    if top.u_s is None or bottom.u_s is None:
        return ratio, None
    return ratio, ratio * math.hypot(top.u_s / top.value_s, bottom.u_s / bottom.value_s)


def _band(bands: tuple[BandVerdict, ...], band_hz: float) -> BandVerdict | None:
    return next((band for band in bands if band.band_hz == band_hz), None)


def _mean(judged: list[BandVerdict]) -> float:
    return fmean(b.value_s for b in judged if b.value_s is not None)
