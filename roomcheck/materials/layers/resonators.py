"""Absorbers that swing: boards with holes or slots, closed panels, single volumes with a neck.

Where they are tuned is a closed form; what they take is the impedance of their front in series with
what is behind, over all angles and nine frequencies in each octave, since a resonance is narrower
than one.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from roomcheck.materials.absorption import Absorption
from roomcheck.materials.layers.air import DENSITY_KG_M3, PRESSURE_PA
from roomcheck.materials.layers.facings import FrontLayer, Perforated, Slotted
from roomcheck.materials.layers.porous import Real, extended_reaction, local_reaction
from roomcheck.units import OCTAVES_HZ, SPEED_OF_SOUND_M_S

_LINES = 9
_DETUNED = 1.1
"""A built resonator sits about a tenth off its sum (common practice): the uncertainty holds both
sides."""
_MODEL_U = 0.10
"""Of the model itself, twice that of a porous layer (a judgement): glue, gaps and stiffness are not
in it."""


def helmholtz_hz(neck_area_m2: float, neck_length_m: float, volume_m3: float) -> float:
    r"""Where a volume with a neck swings.

    Parameters
    ----------
    neck_area_m2, neck_length_m : float
        The length with its end corrections, 1.7 radii for a round neck in a wall. [m2], [m]
    volume_m3 : float
        [m3]

    Returns
    -------
    float
        :math:`c/2\pi \sqrt{S/(l V)}`. [Hz]

    >>> round(helmholtz_hz(np.pi * 0.025**2, 0.05 + 1.7 * 0.025, 0.020), 2)
    56.24
    """
    return float(
        SPEED_OF_SOUND_M_S / (2 * np.pi) * np.sqrt(neck_area_m2 / (neck_length_m * volume_m3))
    )


def membrane_hz(mass_kg_m2: float, depth_m: float, *, filled: bool = False) -> float:
    r"""Where a limp sheet swings on the air behind it.

    Parameters
    ----------
    mass_kg_m2, depth_m : float
        [kg/m2], [m]
    filled : bool
        True where the depth is full of wool, which keeps the air at one temperature.

    Returns
    -------
    float
        :math:`(1/2\pi)\sqrt{\rho c^2/(m d)}`, about :math:`60/\sqrt{m d}`; filled about 50. [Hz]

    >>> round(membrane_hz(5, 0.1), 2)
    84.92
    """
    stiffness = PRESSURE_PA if filled else DENSITY_KG_M3 * SPEED_OF_SOUND_M_S**2
    return float(np.sqrt(stiffness / (mass_kg_m2 * depth_m)) / (2 * np.pi))


def openings_hz(front: Perforated | Slotted, depth_m: float) -> float:
    r"""Where a board with holes or slots swings on the air behind it, both ends of each opening
    counted.

    Returns
    -------
    float
        :math:`c/2\pi \sqrt{\epsilon/(l' D)}`, for depths well below a quarter of the wave. [Hz]
    """
    return float(
        SPEED_OF_SOUND_M_S / (2 * np.pi) * np.sqrt(front.open_share / (front.effective_m * depth_m))
    )


def quarter_wave_hz(depth_m: float) -> float:
    """Where air of this depth takes a thin resistance in front best. [Hz]

    >>> quarter_wave_hz(0.1)
    857.5
    """
    return SPEED_OF_SOUND_M_S / (4 * depth_m)


def holes_share(
    hole_m: float, pitch_m: float, pattern: Literal["square", "staggered"] = "square"
) -> float:
    """Open share of round holes at a pitch: pi/4 (d/b)^2 on squares, 0.907 (d/b)^2 on triangles.
    [1]

    >>> round(holes_share(0.005, 0.020), 6)
    0.049087
    """
    full = np.pi / 4 if pattern == "square" else np.pi / (2 * np.sqrt(3))
    return float(full * (hole_m / pitch_m) ** 2)


def maa_peak(resistance: float) -> float:
    """Absorption of a micro-perforated plate at resonance, straight on: 4 r / (1 + r)^2. [1]"""
    return 4 * resistance / (1 + resistance) ** 2


def maa_bandwidth(resistance: float) -> float:
    """Upper over lower end of the band in which it takes half of its peak: pi / arccot(1 + r) - 1.
    [1]

    References
    ----------
    Maa, J. Acoust. Soc. Am. 104 (1998), Table I, as quoted in open reference data.
    """
    return float(np.pi / np.arctan(1 / (1 + resistance)) - 1)


def resonator(
    front: FrontLayer,
    *,
    thickness_m: float = 0.0,
    gap_m: float = 0.0,
    flow_resistivity_pa_s_m2: float = 10_000.0,
    divided: bool = False,
    bands_hz: tuple[float, ...] = OCTAVES_HZ,
) -> Absorption:
    """How a front before a porous layer and a gap absorbs sound from everywhere.

    Parameters
    ----------
    front : Face
        `Perforated`, `Slotted`, `Sheet`, `Microperforated` or cloth.
    thickness_m, gap_m, flow_resistivity_pa_s_m2 : float
        Porous layer directly behind the front (0 for none), and the air behind that. [m], [m], [Pa
        s/m2]
    divided : bool
        Whether the depth is cut into cells.
    bands_hz : tuple of float
        Octaves. [Hz]

    Returns
    -------
    Absorption
        Mean of nine lines an octave, of an endless face. The uncertainty holds a resonance a tenth
        off and 0.10 for the model. A panel's own stiffness and edge fixing are not counted: a
        closed front may sit higher.

    Raises
    ------
    ValueError
        Neither layer nor gap, or one of them negative.
    """
    if thickness_m < 0 or gap_m < 0 or thickness_m + gap_m <= 0:
        raise ValueError(
            f"thickness_m {thickness_m}, gap_m {gap_m}: needed at least one above 0, none below"
        )
    reaction = local_reaction if divided else extended_reaction

    def alpha(tuned: float) -> Real:
        spread = 2.0 ** (np.linspace(-0.5, 0.5, 2 * _LINES + 1)[1::2]) / tuned
        lines = tuple(float(x) for x in np.outer(bands_hz, spread).ravel())
        values = reaction(
            thickness_m, gap_m, flow_resistivity_pa_s_m2, facing=front, bands_hz=lines
        )
        return np.asarray(values.reshape(len(bands_hz), _LINES).mean(axis=1))

    u = np.hypot(np.abs(alpha(_DETUNED) - alpha(1 / _DETUNED)) / 2, _MODEL_U)
    behind = []
    if thickness_m > 0:
        behind.append(f"{1000 * thickness_m:g} mm, {flow_resistivity_pa_s_m2:g} Pa s/m2")
    if gap_m > 0:
        cells = ", divided" if divided else ""
        behind.append(f"{1000 * gap_m:g} mm of air{cells}")
    title = f"{front.title} before {' and '.join(behind)}"
    return Absorption(
        key=title,
        title=title,
        per_piece=False,
        bands_hz=tuple(bands_hz),
        values=tuple(float(a) for a in alpha(1.0)),
        uncertainty=tuple(float(x) for x in u),
        source=(
            "impedance of the front in series with Miki 1990 and air, Paris' integral, nine lines "
            "an octave"
        ),
        mark="computed",
    )
