"""Time of flight, from a loopback channel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.geometry import distance_m
from roomcheck.job import Job
from roomcheck.measure.kinds import Flown
from roomcheck.measure.signal.deconvolution import all_lags
from roomcheck.measure.signal.sweep import Sweep

APART_M = 0.3
"""More than this between tape and sound is no slip of the tape. Common practice. [m]"""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Flight:
    """How long the sound was under way."""

    flight_s: float
    """From the loopback to the first arrival at the microphone, the loudspeaker's own delay
    included [s]."""
    distance_m: float
    """That time at the speed of sound [m]."""
    planned_m: float
    """From the job's positions [m]."""

    @property
    def remark(self) -> Fact[Flown]:
        """Whether tape and sound agree."""
        kind = Flown.AS_PLANNED
        if self.distance_m < self.planned_m - APART_M:
            kind = Flown.TOO_NEAR
        elif self.distance_m > self.planned_m + APART_M:
            kind = Flown.TOO_FAR
        return fact(
            kind,
            flight_s=self.flight_s,
            distance_m=self.distance_m,
            planned_m=self.planned_m,
        )


def flight(
    recorded: Array,
    sweep: Sweep,
    *,
    channel: int,
    loopback: int,
    job: Job,
    visit: str,
    source: str,
    microphone: str,
) -> Flight:
    """The time of flight of one take.

    Parameters
    ----------
    recorded : (frames, channels)
    channel, loopback : int
        Of the microphone and of the cable from the output, from 1.

    Raises
    ------
    RecordingError
        No sweep on one of the channels.
    """
    cable = all_lags(recorded[:, loopback - 1], sweep, f"loopback channel {loopback}")
    room = all_lags(recorded[:, channel - 1], sweep, f"microphone channel {channel}")
    flight_s = (room.onset - cable.onset) / sweep.rate_hz
    speed = job.speed_of_sound_m_s(visit)
    places = {position.name: position.point for position in (*job.sources, *job.microphones)}
    return Flight(
        flight_s=flight_s,
        distance_m=flight_s * speed,
        planned_m=distance_m(places[source], places[microphone]),
    )
