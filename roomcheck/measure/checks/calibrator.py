"""What full scale is in the room: from a calibrator's tone, or from a sensitivity."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.measure.checks.checks import clipping
from roomcheck.measure.faults import RecordingError
from roomcheck.measure.kinds import Scale

PASCAL_DB = 94.0
"""Level of 1 Pa, 20 lg(1 / 20e-6), as calibrators round it. [dB re 20 uPa]"""

LEVELS_DB = (94.0, 114.0)
"""What sound calibrators give. Common practice. [dB re 20 uPa]"""

TONES_HZ = (250.0, 1000.0)
STEADY_DB, PURE_DB, LEAST_S = 0.3, 20.0, 2.0
"""How little the tone may move, how far it stands above all else, how long it lasts. Common
practice."""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class FullScale:
    """The sound level at which the recording's mean square is 1."""

    level_db: float
    """Its level [dB re 20 uPa]."""
    source: Fact[Scale]
    """Where it comes from, for every page that shows an absolute level."""


def from_sensitivity(level_at_94_dbfs: float) -> FullScale:
    """From the recorder's own reading of 94 dB.

    Parameters
    ----------
    level_at_94_dbfs : float
        RMS that a sound of 94 dB (1 Pa) leaves in the recording, a square wave at full scale being
        0. [dB re full scale]

    Raises
    ------
    RecordingError
        Not below 0.

    >>> from_sensitivity(-30).level_db
    124.0
    """
    if not -120 <= level_at_94_dbfs < 0:
        raise RecordingError(
            where="sensitivity",
            found=f"{level_at_94_dbfs:g} dB re full scale at 94 dB",
            needed="-120 to 0",
            todo=(
                "Give the RMS level that 94 dB leaves in a recording, such as -32.5; or record a "
                "calibrator."
            ),
        )
    return FullScale(
        level_db=PASCAL_DB - level_at_94_dbfs,
        source=fact(Scale.SENSITIVITY, level_at_94_dbfs=level_at_94_dbfs),
    )


def from_calibrator(samples: Array, rate_hz: int, level_db: float, where: str) -> FullScale:
    """From a recording of a sound calibrator on the microphone.

    Parameters
    ----------
    samples : (frames,)
        [1]
    level_db : float
        What the calibrator gives, 94 or 114. [dB re 20 uPa]
    where : str
        The recording, for messages.

    Raises
    ------
    RecordingError
        Not a steady, clean tone of 250 or 1000 Hz of two seconds or more.
    """
    if level_db not in LEVELS_DB:
        raise _refused(where, f"a calibrator of {level_db:g} dB", "94 or 114 dB")
    if len(samples) < (LEAST_S + 1) * rate_hz:
        raise _refused(where, f"{len(samples) / rate_hz:.1f} s", f"{LEAST_S + 1:g} s at least")
    if any(remark.repeat for remark in clipping(samples)):
        raise _refused(
            where, "it is clipped", "an unclipped tone; turn the input down, for the noise as well"
        )
    # Half a second at both ends is where hands are.
    inner = samples[rate_hz // 2 : len(samples) - rate_hz // 2]
    hz, tone, rest = _tone(inner, rate_hz)
    named = min(TONES_HZ, key=lambda f: abs(np.log(hz / f)))
    if abs(hz / named - 1) > 0.03:
        raise _refused(where, f"its strongest tone is {hz:.0f} Hz", "250 or 1000 Hz")
    if tone < 10 ** (PURE_DB / 10) * rest:
        over = 10 * np.log10(tone / rest)
        raise _refused(
            where,
            f"the tone stands {over:.0f} dB above everything else",
            f"{PURE_DB:g} dB, a tight fit",
        )
    frames = inner[: len(inner) // (rate_hz // 4) * (rate_hz // 4)].reshape(-1, rate_hz // 4)
    levels = 10 * np.log10(np.mean(frames**2, axis=1) + 1e-30)
    moved = float(np.ptp(levels))
    if moved > 2 * STEADY_DB:
        raise _refused(
            where, f"the tone moves by {moved:.1f} dB", f"{2 * STEADY_DB:g} dB at most, held still"
        )
    return FullScale(
        level_db=float(level_db - 10 * np.log10(tone)),
        source=fact(Scale.CALIBRATOR, level_db=level_db, tone_hz=hz, recording=where),
    )


def _tone(samples: Array, rate_hz: int) -> tuple[float, float, float]:
    """Frequency of the strongest tone, its mean square, and that of everything else above 50 Hz.
    [Hz, 1, 1]"""
    window = np.hanning(len(samples))
    power = np.abs(np.fft.rfft(samples * window)) ** 2 * (2 / len(samples) / np.sum(window**2))
    hz = np.fft.rfftfreq(len(samples), 1 / rate_hz)
    power[hz < 50] = 0
    top = int(np.argmax(power))
    near = np.abs(hz - hz[top]) < 5
    return float(hz[top]), float(power[near].sum()), float(power[~near].sum()) + 1e-30


def _refused(where: str, found: str, needed: str) -> RecordingError:
    return RecordingError(
        where=where,
        found=found,
        needed=needed,
        todo=(
            "Push the calibrator on until it sits, switch it on, hold everything still, and "
            "record again."
        ),
    )
