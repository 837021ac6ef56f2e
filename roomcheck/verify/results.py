"""Whether the promise is kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from roomcheck.analyse import BoxMode

Kept = Literal["kept", "not kept", "undecided", "not promised"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BandChange:
    """One octave before and after, and what was promised for it.

    Attributes
    ----------
    band_hz : float
        0 for the mean of 500 and 1000 Hz. [Hz]
    before_s, after_s, after_u_s : float or None
        Mean T20, and the standard uncertainty of the second. [s]
    change_s, change_u_s : float or None
        After minus before over the same positions, and its standard uncertainty. [s]
    low_s, high_s : float or None
        As signed. [s]
    kept : Kept
    audible : bool or None
        Whether the change exceeds both its uncertainty and the just noticeable 5 %.
    reason : str
    air_s : float or None
        What the other air of the second visit did to the decay by itself; it is taken off
        `change_s`. None where air was the same or its effect stays below 1 %. [s]
    people_s : float or None
        What other people in the room did to the second decay; it is taken off `after_s` and
        `change_s`. None where as many were there. [s]
    """

    band_hz: float
    before_s: float | None
    after_s: float | None
    after_u_s: float | None
    change_s: float | None
    change_u_s: float | None
    low_s: float | None
    high_s: float | None
    kept: Kept
    audible: bool | None
    reason: str = ""
    air_s: float | None = None
    people_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClarityChange:
    """Clarity C50 in one octave, before and after.

    Attributes
    ----------
    band_hz : float
        [Hz]
    before_db, after_db : float or None
        Means over the positions that have a number both times. [dB]
    change_db, change_u_db : float or None
        After minus before, and its standard uncertainty over those positions. [dB]
    audible : bool or None
        Whether the change exceeds both its uncertainty (95 %) and the just noticeable 1 dB of ISO
        3382-1.
    """

    band_hz: float
    before_db: float | None
    after_db: float | None
    change_db: float | None
    change_u_db: float | None
    audible: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceChange:
    """A surface's first reflection at one pair of positions.

    Attributes
    ----------
    source, microphone, face : str
    delay_s : float
        After the direct sound. [s]
    before_db, after_db : float or None
        Relative to the direct sound, 1 to 8 kHz; None where it did not stand out. [dB]
    """

    source: str
    microphone: str
    face: str
    delay_s: float
    before_db: float | None
    after_db: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ModeChange:
    """A standing wave that both visits found.

    Attributes
    ----------
    frequency_hz : float
        At the first visit. [Hz]
    box : BoxMode or None
        Which one of the room's size it is; empty where none fits.
    before_s, after_s, change_s, change_u_s : float
        Time for 60 dB; its change with the standard uncertainty. [s]
    sure : bool
        Whether the change exceeds two standard uncertainties.
    """

    frequency_hz: float
    box: BoxMode | None
    before_s: float
    after_s: float
    change_s: float
    change_u_s: float
    sure: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeechChange:
    """Speech transmission index at one pair of positions, 0 to 1. [1]"""

    source: str
    microphone: str
    before: float
    after: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EvennessChange:
    """How uneven the response is at one pair of positions.

    Attributes
    ----------
    source, microphone : str
    from_hz, to_hz : float
        Clear of noise both times. [Hz]
    before_db, after_db : float
        Standard deviation about the trend of an octave; less is more even. [dB]
    """

    source: str
    microphone: str
    from_hz: float
    to_hz: float
    before_db: float
    after_db: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Verification:
    """The job's last page.

    Attributes
    ----------
    bands : tuple of BandChange
    mid : BandChange
    kept : Kept
        Of the promise as a whole.
    differences : tuple of str
        Between the conditions of the two visits.
    pairs : int
        Source-microphone pairs measured both times.
    sentence : str
        The verdict in one plain sentence.
    barring : tuple of str
        Those of the differences that forbid a comparison.
    compared_anyway : bool
        Whether it was made all the same, because somebody asked for it.
    causes : tuple of str
        Not kept: what is most likely wrong and what cures it, likeliest first.
    clarity, surfaces, modes, speech, evenness : tuple
        What else changed, between the pairs of positions that both visits have; no promise hangs on
        it.
    """

    bands: tuple[BandChange, ...]
    mid: BandChange
    kept: Kept
    differences: tuple[str, ...]
    pairs: int
    sentence: str
    barring: tuple[str, ...] = ()
    compared_anyway: bool = False
    causes: tuple[str, ...] = ()
    clarity: tuple[ClarityChange, ...] = ()
    surfaces: tuple[SurfaceChange, ...] = ()
    modes: tuple[ModeChange, ...] = ()
    speech: tuple[SpeechChange, ...] = ()
    evenness: tuple[EvennessChange, ...] = ()
