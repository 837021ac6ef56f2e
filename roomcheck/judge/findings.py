"""What a client would hear, each with its evidence, threshold and remedies."""

from __future__ import annotations

from roomcheck.analyse import Analysis
from roomcheck.job import Job
from roomcheck.judge.results import BandVerdict, Finding
from roomcheck.standards import Target
from roomcheck.units import band_label, digits_against_limit

JND = 0.05
"""Just noticeable share of a reverberation time; ISO 3382-1:2009 Table A.1 gives it for EDT, here used for T20."""

BOOMY = 1.3
DULL = 0.6
_SHARE = "common practice in small rooms"


def findings(
    analysis: Analysis, job: Job, target: Target, bands: tuple[BandVerdict, ...], mid: BandVerdict
) -> tuple[Finding, ...]:
    """Faults above the transition frequency, the most audible first; none without evidence."""
    found = [
        _too_live(target, mid, job),
        _too_dead(target, mid),
        _boomy(analysis, bands),
        _dull(analysis, bands),
        *_band_misses(target, bands, mid),
        _unclear(analysis, target),
    ]
    kept = [finding for finding in found if finding is not None]
    return tuple(sorted(kept, key=lambda finding: -(finding.beyond_jnd or 0.0)))


def _too_live(target: Target, mid: BandVerdict, job: Job) -> Finding | None:
    if mid.outcome != "too long" or mid.value_s is None or mid.high_s is None:
        return None
    said, bound = digits_against_limit(mid.value_s, mid.high_s)
    lacking_m2 = 0.161 * job.room.volume_m3 * (1 / mid.high_s - 1 / mid.value_s)
    return Finding(
        title="Too live",
        sentence="Sound hangs on after it should have died, so words and notes run into each other.",
        evidence=f"Mid-band decay {said} s, where at most {bound} s is wanted; by Sabine's formula about "
        f"{lacking_m2:.1f} m² of absorption is missing.",
        threshold=f"{target.title}: {target.source}, {target.mark}",
        remedies=(
            "Free: soft things that are to hand, such as a rug, curtains, full bookshelves.",
            "Absorbers, spread over walls and ceiling; the plan says how many and where.",
        ),
        beyond_jnd=(mid.value_s / mid.high_s - 1) / JND,
    )


def _too_dead(target: Target, mid: BandVerdict) -> Finding | None:
    if mid.outcome != "too short" or mid.value_s is None or mid.low_s is None:
        return None
    said, bound = digits_against_limit(mid.value_s, mid.low_s)
    return Finding(
        title="Too dead",
        sentence="The room swallows sound: voices feel small and people strain.",
        evidence=f"Mid-band decay {said} s, where at least {bound} s is wanted.",
        threshold=f"{target.title}: {target.source}, {target.mark}",
        remedies=(
            "Free: take out some of the soft things, thin ones first.",
            "Swap thin absorbers for slatted or diffusing faces.",
        ),
        beyond_jnd=(1 - mid.value_s / mid.low_s) / JND,
    )


def _boomy(analysis: Analysis, bands: tuple[BandVerdict, ...]) -> Finding | None:
    middle = _value(bands, 500.0)
    deep = next((b for b in bands if b.band_hz in (125.0, 250.0) and b.outcome not in ("modal", "not measured")), None)
    if middle is None or deep is None or deep.value_s is None or not _clearly_over(deep, middle, BOOMY):
        return None
    return Finding(
        title="Boomy",
        sentence="Low sound hangs on longer than the rest, so the room booms and speech turns muddy.",
        evidence=f"{band_label(deep.band_hz)} Hz dies in {deep.value_s:.2f} s, 500 Hz in {middle.value_s:.2f} s.",
        threshold=f"Low decay over {BOOMY:g} times that at 500 Hz; {_SHARE}",
        remedies=(
            "Free: move the seat and the loudspeaker off the walls and corners.",
            "Deeper absorbers: 4 in and more with a gap behind, in the corners first; no more thin ones.",
        ),
        beyond_jnd=(deep.value_s / _seconds(middle) / BOOMY - 1) / JND,
    )


def _dull(analysis: Analysis, bands: tuple[BandVerdict, ...]) -> Finding | None:
    low, high = _value(bands, 250.0), _value(bands, 4000.0)
    if low is None or high is None or not _clearly_over(low, high, 1 / DULL):
        return None
    return Finding(
        title="Dull",
        sentence="High sound dies much faster than low sound, so the room sounds lifeless and boxy.",
        evidence=f"4k Hz dies in {high.value_s:.2f} s, 250 Hz in {low.value_s:.2f} s.",
        threshold=f"Decay at 4 kHz under {DULL:g} times that at 250 Hz; common practice",
        remedies=(
            "Free: take out thin soft things that swallow only the highs.",
            "Deep absorbers rather than thin ones; wood or slatted faces on some of them.",
        ),
        beyond_jnd=(_seconds(low) * DULL / _seconds(high) - 1) / JND,
    )


def _band_misses(target: Target, bands: tuple[BandVerdict, ...], mid: BandVerdict) -> list[Finding]:
    """Bands that miss although the mean does not: one finding for each side."""
    if mid.outcome in ("too long", "too short"):
        return []
    found = []
    for outcome, title, sentence, cure in (
        ("too long", "Uneven: some bands ring on", "Part of the sound hangs on longer than the rest.", "add depth"),
        ("too short", "Uneven: some bands are swallowed", "Part of the sound dies too soon.", "take thin pieces out"),
    ):
        missed = [band for band in bands if band.outcome == outcome]
        if missed:
            found.append(_band_miss(target, missed, title, sentence, cure))
    return found


def _band_miss(target: Target, missed: list[BandVerdict], title: str, sentence: str, cure: str) -> Finding:
    beyond = 0.0
    for band in missed:
        limit = band.high_s if band.outcome == "too long" else band.low_s
        if band.value_s is not None and limit:
            beyond = max(beyond, abs(band.value_s / limit - 1) / JND)
    return Finding(
        title=title,
        sentence=sentence,
        evidence=" ".join(f"{band_label(band.band_hz)} Hz: {band.reason}" for band in missed),
        threshold=f"{target.title}: {target.source}, {target.mark}",
        remedies=(f"Change what hangs there for those bands: {cure}.",),
        beyond_jnd=beyond,
    )


def _unclear(analysis: Analysis, target: Target) -> Finding | None:
    wanted = target.c50_db
    clarities = [c for hz in (500.0, 1000.0, 2000.0) if (b := analysis.octave(hz)) and (c := b.c50_db) is not None]
    if wanted is None or len(clarities) < 3:
        return None
    mean_db = sum(clarities) / 3
    if mean_db >= wanted:
        return None
    said, bound = digits_against_limit(mean_db, wanted, 1)
    return Finding(
        title="Words blur",
        sentence="Too much of what arrives is late sound, and syllables cover one another.",
        evidence=f"Speech clarity C50 is {said} dB, the mean of 500 Hz to 2 kHz all positions; {bound} dB is wanted.",
        threshold="C50 for speech; common practice. Loudspeakers are not omnidirectional: theirs reads a little high",
        remedies=(
            "Free: sit closer to whoever speaks, and away from hard walls.",
            "Absorb the late sound: ceiling and the wall opposite the talker first.",
        ),
        beyond_jnd=wanted - mean_db,
    )


def _value(bands: tuple[BandVerdict, ...], band_hz: float) -> BandVerdict | None:
    band = next((b for b in bands if b.band_hz == band_hz), None)
    return None if band is None or band.value_s is None or band.outcome == "modal" else band


def _seconds(band: BandVerdict) -> float:
    if band.value_s is None:
        raise ValueError(f"band: {band.band_hz:g} Hz has no value")
    return band.value_s


def _clearly_over(longer: BandVerdict, shorter: BandVerdict, factor: float) -> bool:
    """Whether a decay exceeds `factor` times another by more than twice the uncertainty of both."""
    u = ((longer.u_s or 0.0) ** 2 + (factor * (shorter.u_s or 0.0)) ** 2) ** 0.5
    return bool(_seconds(longer) > factor * _seconds(shorter) + 2 * u)
