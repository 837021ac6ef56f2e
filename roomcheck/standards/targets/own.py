"""A target of the job's own, with the reason that stands on every page."""

from __future__ import annotations

from typing import Protocol

from roomcheck.standards.errors import BadTarget
from roomcheck.standards.target import BandLimit, Target
from roomcheck.units import MID_BANDS_HZ, OCTAVES_HZ


class OwnLimits(Protocol):
    """What a job says of its own target: limits of the decay in each octave, and why."""

    @property
    def low_s(self) -> float: ...
    @property
    def high_s(self) -> float: ...
    @property
    def from_hz(self) -> float: ...
    @property
    def to_hz(self) -> float: ...
    @property
    def reason(self) -> str: ...


def own_target(
    *,
    low_s: float,
    high_s: float,
    from_hz: float,
    to_hz: float,
    reason: str,
    key: str = "own",
    title: str = "",
) -> Target:
    """The job's own limits, the same in every octave from `from_hz` to `to_hz`.

    Parameters
    ----------
    low_s, high_s : float
        [s]
    from_hz, to_hz : float
        Nominal octave mid-band frequencies, both counted. [Hz]
    reason : str
        Why the job departs from the standard of its use.
    key, title : str

    Raises
    ------
    BadTarget
        Limits the wrong way round, no octave between them, or no reason.

    >>> own = own_target(low_s=0.2, high_s=0.3, from_hz=250, to_hz=4000, reason="As before.")
    >>> own.mid_nominal_s
    0.25
    """
    if not 0 <= low_s < high_s:
        raise BadTarget(
            found=f"low {low_s:g} s and high {high_s:g} s", needed="0 s or more, and high above low"
        )
    bands = tuple(hz for hz in OCTAVES_HZ if from_hz <= hz <= to_hz)
    if not bands:
        raise BadTarget(
            found=f"from {from_hz:g} Hz to {to_hz:g} Hz",
            needed="at least one octave from 63 Hz to 8 kHz",
        )
    if not reason.strip():
        raise BadTarget(found="no reason", needed="one sentence that says why")
    mid = tuple(hz for hz in MID_BANDS_HZ if hz in bands) or bands
    return Target(
        key=key,
        title=title or "the job's own target",
        source=f"the job's own: {reason.strip()}",
        mark="own",
        limits=tuple(BandLimit(band_hz=hz, low_s=low_s, high_s=high_s) for hz in bands),
        mid_bands_hz=mid,
        mid_low_s=low_s,
        mid_nominal_s=(low_s + high_s) / 2,
        mid_high_s=high_s,
        occupied=None,
    )
