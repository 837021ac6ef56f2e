"""Listening rooms: ITU-R BS.1116-3 (2015) and EBU Tech 3276, 2nd edition (1998).

Both as quoted in open analysis code and its documentation.
"""

from __future__ import annotations

import itertools
import math

from roomcheck.standards.target import BandLimit, Target

DOCUMENT = "ITU-R BS.1116-3, clause 8.2.3.1 and Figure 1"
EBU = "EBU Tech 3276, 2nd edition"
MID_BANDS_HZ = (250.0, 500.0, 1000.0, 2000.0, 4000.0)
"""Octaves between 200 Hz and 4 kHz, over which the documents average. [Hz]"""

HALF_WIDTH_S = 0.05
EBU_LOW_S, EBU_HIGH_S = 0.2, 0.4

_UPPER = ((63.0, 0.30), (200.0, 0.05), (4000.0, 0.05), (8000.0, 0.10))
_LOWER = ((100.0, 0.05), (4000.0, 0.05), (8000.0, 0.10))


def nominal_s(volume_m3: float) -> float:
    r"""Mean decay of a listening room.

    Parameters
    ----------
    volume_m3 : float
        Above 0. [m3]

    Returns
    -------
    float
        :math:`T_m = 0.25\,(V / 100)^{1/3}`. [s]

    References
    ----------
    ITU-R BS.1116-3, clause 8.2.3.1; EBU Tech 3276 has the same formula.

    >>> round(nominal_s(100), 3), round(nominal_s(200), 3)
    (0.25, 0.315)
    """
    return 0.25 * math.cbrt(volume_m3 / 100)


def nominal_ebu_s(volume_m3: float) -> float:
    """The same, held between 0.2 and 0.4 s as EBU Tech 3276 asks. [s]

    >>> nominal_ebu_s(30), nominal_ebu_s(500)
    (0.2, 0.4)
    """
    return min(max(nominal_s(volume_m3), EBU_LOW_S), EBU_HIGH_S)


def tolerance_s(band_hz: float) -> tuple[float | None, float | None]:
    """How far the decay in one band may lie below and above the nominal value.

    Between the corners of Figure 1 the tolerance runs straight over the logarithm of frequency. The
    lower side is taken to begin at 100 Hz; the copies seen differ below that.

    Parameters
    ----------
    band_hz : float
        [Hz]

    Returns
    -------
    tuple of float or None
        Below and above; None where the figure has no line. [s]

    >>> [round(t, 4) for t in tolerance_s(125)]
    [0.05, 0.1517]
    """
    return _line(_LOWER, band_hz), _line(_UPPER, band_hz)


def _line(corners: tuple[tuple[float, float], ...], band_hz: float) -> float | None:
    for (f1, s1), (f2, s2) in itertools.pairwise(corners):
        if f1 <= band_hz <= f2:
            return s1 + (s2 - s1) * math.log(band_hz / f1) / math.log(f2 / f1)
    return None


def limits(nominal: float, bands_hz: tuple[float, ...]) -> tuple[BandLimit, ...]:
    """Figure 1 about a nominal decay, one limit an octave. [s]"""
    octaves = []
    for band_hz in bands_hz:
        below_s, above_s = tolerance_s(band_hz)
        low_s = None if below_s is None else nominal - below_s
        high_s = None if above_s is None else nominal + above_s
        octaves.append(BandLimit(band_hz=band_hz, low_s=low_s, high_s=high_s))
    return tuple(octaves)


def listening_room(key: str, title: str, volume_m3: float) -> Target:
    """BS.1116-3: no clamp; says so where EBU's would act."""
    nominal = nominal_s(volume_m3)
    notes = ["The decay follows the room's volume."]
    if nominal != nominal_ebu_s(volume_m3):
        notes.append(
            f"The formula gives {nominal:.2f} s for {volume_m3:.0f} m³; {EBU} holds it between "
            "0.2 and 0.4 s, so the room has an unusual size for a listening room."
        )
    return _target(
        key, title, nominal, f"{DOCUMENT}, as quoted in open analysis code", tuple(notes)
    )


def control_room(key: str, title: str, volume_m3: float) -> Target:
    """EBU Tech 3276: the same formula and tolerance, the nominal value held between 0.2 and 0.4
    s."""
    nominal, formula = nominal_ebu_s(volume_m3), nominal_s(volume_m3)
    notes = ["The decay follows the room's volume, held between 0.2 and 0.4 s."]
    if nominal != formula:
        notes.append(f"Here the formula alone would give {formula:.2f} s.")
    return _target(
        key,
        title,
        nominal,
        f"{EBU}, with {DOCUMENT}, as quoted in open analysis code",
        tuple(notes),
    )


def _target(key: str, title: str, nominal: float, source: str, notes: tuple[str, ...]) -> Target:
    return Target(
        key=key,
        title=title,
        source=source,
        mark="verified",
        limits=limits(nominal, (63.0, 125.0, *MID_BANDS_HZ, 8000.0)),
        mid_bands_hz=MID_BANDS_HZ,
        mid_low_s=nominal - HALF_WIDTH_S,
        mid_nominal_s=nominal,
        mid_high_s=nominal + HALF_WIDTH_S,
        occupied=None,
        notes=notes,
    )
