"""How long the sound was under way: only a loopback channel tells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import distance_m
from roomcheck.job import Job
from roomcheck.measure.signal.deconvolution import all_lags
from roomcheck.measure.signal.sweep import Sweep
from roomcheck.standards import speed_of_sound_m_s

NO_LOOPBACK = (
    "no loopback channel: delays are relative to the direct sound, distances come from the tape"
)
APART_M = 0.3
"""More than this between tape and sound is no slip of the tape. Common practice. [m]"""

ROOM_TEMPERATURE_C = 20.0

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Flight:
    """How long the sound was under way.

    Attributes
    ----------
    flight_s : float
        From the loopback to the first arrival at the microphone; the loudspeaker's own delay is in
        it. [s]
    distance_m : float
        That time at the speed of sound. [m]
    planned_m : float
        From the job's positions. [m]
    """

    flight_s: float
    distance_m: float
    planned_m: float

    def __str__(self) -> str:
        found = (
            f"the sound took {1000 * self.flight_s:.2f} ms from the loopback, "
            f"{self.distance_m:.2f} m; by the job's positions it is {self.planned_m:.2f} m"
        )
        if self.distance_m < self.planned_m - APART_M:
            return f"{found}: nearer than it should be; is the stand at another position?"
        if self.distance_m > self.planned_m + APART_M:
            return f"{found}: the loudspeaker delays the sound, or the stand is at another position"
        return found


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
    conditions = job.visit(visit)
    speed = speed_of_sound_m_s(conditions.temperature_c if conditions else ROOM_TEMPERATURE_C)
    places = {position.name: position.point for position in (*job.sources, *job.microphones)}
    return Flight(
        flight_s=flight_s,
        distance_m=flight_s * speed,
        planned_m=distance_m(places[source], places[microphone]),
    )
