"""Air: ISO 9613-1:1993, absorption of sound, and the speed of sound that goes with it."""

from __future__ import annotations

import math

T0_K, T01_K, P_REF_KPA = 293.15, 273.16, 101.325
DB_PER_NEPER_OF_ENERGY = 10 * math.log10(math.e)


def speed_of_sound_m_s(temperature_c: float) -> float:
    """Speed of sound in air.

    Parameters
    ----------
    temperature_c : float
        [degC]

    Returns
    -------
    float
        343.2 sqrt((t + 273.15) / 293.15). [m/s]

    References
    ----------
    ISO 9613-1:1993, as quoted in open library code.

    >>> round(speed_of_sound_m_s(10), 1)
    337.3
    """
    return 343.2 * math.sqrt((temperature_c + 273.15) / T0_K)


def exact_octave_hz(band_hz: float) -> float:
    """Exact mid-band frequency, 1000 x 10^(0.1 n), of a nominal octave or third-octave band. [Hz]

    >>> round(exact_octave_hz(63), 3), round(exact_octave_hz(4000), 1)
    (63.096, 3981.1)
    """
    return float(1000 * 10 ** (0.1 * round(10 * math.log10(band_hz / 1000))))


def air_absorption_db_per_m(
    band_hz: float, temperature_c: float, humidity_pct: float, pressure_kpa: float = P_REF_KPA
) -> float:
    """How much a plane wave loses to the air in a metre, at a band's exact mid frequency.

    Parameters
    ----------
    band_hz : float
        Nominal octave or third-octave mid-band frequency. [Hz]
    temperature_c : float
        -20 to 50. [degC]
    humidity_pct : float
        Relative humidity, 0 to 100. [%]
    pressure_kpa : float
        Below 200. [kPa]

    Returns
    -------
    float
        [dB/m]

    Raises
    ------
    ValueError
        Outside those ranges.

    References
    ----------
    ISO 9613-1:1993, Equations 3 to 5, B.2 and B.3, as quoted in open library code.

    Examples
    --------
    >>> round(1000 * air_absorption_db_per_m(1000, 20, 70), 2)
    4.98
    """
    return pure_tone_db_per_m(exact_octave_hz(band_hz), temperature_c, humidity_pct, pressure_kpa)


def pure_tone_db_per_m(
    frequency_hz: float, temperature_c: float, humidity_pct: float, pressure_kpa: float = P_REF_KPA
) -> float:
    """The same at any frequency. [dB/m]"""
    _check(frequency_hz, temperature_c, humidity_pct, pressure_kpa)
    T = temperature_c + 273.15
    t, p = T / T0_K, pressure_kpa / P_REF_KPA
    frO, frN = relaxation_hz(temperature_c, humidity_pct, pressure_kpa)
    f2 = frequency_hz**2
    classical = 1.84e-11 / p * math.sqrt(t)
    oxygen = 0.01275 * math.exp(-2239.1 / T) / (frO + f2 / frO)
    nitrogen = 0.1068 * math.exp(-3352.0 / T) / (frN + f2 / frN)
    return 8.686 * f2 * (classical + math.pow(t, -2.5) * (oxygen + nitrogen))  # Eq. 5


def water_vapour_pct(
    temperature_c: float, humidity_pct: float, pressure_kpa: float = P_REF_KPA
) -> float:
    """Molar concentration of water vapour. [%]"""
    C = -6.8346 * math.pow(T01_K / (temperature_c + 273.15), 1.261) + 4.6151  # Eq. B.3
    return humidity_pct * math.pow(10, C) * P_REF_KPA / pressure_kpa  # Eq. B.1 and B.2


def relaxation_hz(
    temperature_c: float, humidity_pct: float, pressure_kpa: float = P_REF_KPA
) -> tuple[float, float]:
    """Relaxation frequencies of oxygen and nitrogen. [Hz]"""
    h = water_vapour_pct(temperature_c, humidity_pct, pressure_kpa)
    t, p = (temperature_c + 273.15) / T0_K, pressure_kpa / P_REF_KPA
    frO = p * (24 + 4.04e4 * h * (0.02 + h) / (0.391 + h))  # Eq. 3
    frN = p / math.sqrt(t) * (9 + 280 * h * math.exp(-4.170 * (t ** (-1 / 3) - 1)))  # Eq. 4
    return frO, frN


def energy_attenuation_per_m(loss_db_per_m: float) -> float:
    """m of the reverberation formulas, from a loss in decibels. [1/m]"""
    return loss_db_per_m / DB_PER_NEPER_OF_ENERGY


def _check(
    frequency_hz: float, temperature_c: float, humidity_pct: float, pressure_kpa: float
) -> None:
    for name, value, low, high in (
        ("frequency_hz", frequency_hz, 0, 1e6),
        ("temperature_c", temperature_c, -20, 50),
        ("humidity_pct", humidity_pct, 0, 100),
        ("pressure_kpa", pressure_kpa, 1, 200),
    ):
        if not low <= value <= high:
            raise ValueError(f"{name} must lie from {low:g} to {high:g}, not {value}")
