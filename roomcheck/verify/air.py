"""What the air alone changes between two visits."""

from __future__ import annotations

from roomcheck.job import Visit
from roomcheck.standards import air_absorption_db_per_m, speed_of_sound_m_s


def in_other_air(t_s: float, band_hz: float, measured: Visit, wanted: Visit) -> float | None:
    r"""A decay as it would be in the air of another visit.

    Parameters
    ----------
    t_s : float
        Measured. [s]
    band_hz : float
        Nominal octave. [Hz]
    measured, wanted : Visit
        Whose air it was measured in, and whose is asked for.

    Returns
    -------
    float or None
        :math:`60/T' = 60/T + c'\,a' - c\,a`: air takes a dB a metre, and the sound runs c metres a
        second. None where the visit's temperature or humidity lies outside ISO 9613-1. [s]

    References
    ----------
    ISO 9613-1:1993 for a and c.
    """
    try:
        there, here = (_loss_db_per_s(band_hz, visit) for visit in (wanted, measured))
    except ValueError:
        return None
    rate = 60 / t_s + there - here
    return 60 / rate if rate > 0 else None


def _loss_db_per_s(band_hz: float, visit: Visit) -> float:
    loss = air_absorption_db_per_m(band_hz, visit.temperature_c, visit.humidity_pct)
    return loss * speed_of_sound_m_s(visit.temperature_c)
