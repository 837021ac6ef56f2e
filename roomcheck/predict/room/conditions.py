"""The air and the size of a room at one visit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.job import Job, VisitName
from roomcheck.standards import (
    air_absorption_db_per_m,
    energy_attenuation_per_m,
    speed_of_sound_m_s,
)
from roomcheck.units import ROOM_HUMIDITY_PCT, ROOM_TEMPERATURE_C


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Conditions:
    """What every formula needs beside absorption."""

    volume_m3: float
    """Of the room [m3]."""
    surface_m2: float
    """Of all its faces [m2]."""
    speed_m_s: float
    """Of sound [m/s]."""
    air_per_m: NDArray[np.float64]
    """(bands,): energy attenuation of air, ISO 9613-1 [1/m]."""


def conditions_of(job: Job, visit: VisitName, bands_hz: tuple[float, ...]) -> Conditions:
    """The conditions of a visit; those of the first where the second is not planned yet."""
    at = job.visit(visit) or job.visit("before")
    temperature = at.temperature_c if at else ROOM_TEMPERATURE_C
    humidity = at.humidity_pct if at else ROOM_HUMIDITY_PCT
    air = [
        energy_attenuation_per_m(air_absorption_db_per_m(band, temperature, humidity))
        for band in bands_hz
    ]
    return Conditions(
        volume_m3=job.room.volume_m3,
        surface_m2=job.room.surface_m2,
        speed_m_s=speed_of_sound_m_s(temperature),
        air_per_m=np.array(air),
    )
