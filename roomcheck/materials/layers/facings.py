"""What lies in front of a layer or a cavity, each as an impedance in series with what is behind it.

All impedances are relative to air and go as exp(+j omega t): cloth (flow resistance beside its
mass), a board with round holes or with slots (a mass of air with wall friction), a closed sheet
(mass alone), a micro-perforated plate.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from roomcheck.materials.layers.air import DENSITY_KG_M3, IMPEDANCE_PA_S_M, VISCOSITY_PA_S
from roomcheck.units import SPEED_OF_SOUND_M_S

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]


class FrontLayer(Protocol):
    """Anything that can stand in front."""

    @property
    def title(self) -> str: ...

    def impedance(self, frequency_hz: ArrayLike) -> Complex:
        """Relative to air, (bands,). [1]"""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Facing:
    """Cloth or film that lies on the layer."""

    resistance_pa_s_m: float
    """Specific flow resistance; thin fabric that one can blow through has less than about 100 [Pa
    s/m]."""
    mass_kg_m2: float
    """Weight of the cloth [kg/m2]."""

    @property
    def title(self) -> str:
        return f"cloth {self.resistance_pa_s_m:g} Pa s/m, {1000 * self.mass_kg_m2:g} g/m2"

    def impedance(self, frequency_hz: ArrayLike) -> Complex:
        """Its flow resistance and its mass side by side: what cannot go through moves the cloth."""
        r = self.resistance_pa_s_m / IMPEDANCE_PA_S_M
        mass = _mass(frequency_hz, self.mass_kg_m2)
        return np.asarray(r * mass / (r + mass))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A closed board or film that moves as one: the front of a membrane absorber. Its stiffness is
    not counted."""

    mass_kg_m2: float
    """Weight of the sheet [kg/m2]."""

    @property
    def title(self) -> str:
        return f"closed sheet {self.mass_kg_m2:g} kg/m2"

    def impedance(self, frequency_hz: ArrayLike) -> Complex:
        return _mass(frequency_hz, self.mass_kg_m2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Perforated:
    """A stiff board with round holes."""

    thickness_m: float
    """Of the board [m]."""
    hole_m: float
    """Diameter of a hole [m]."""
    open_share: float
    """Of the board's area [1]."""

    @property
    def title(self) -> str:
        return (
            f"board {1000 * self.thickness_m:g} mm, holes {1000 * self.hole_m:g} mm, "
            f"{100 * self.open_share:.3g} % open"
        )

    @property
    def effective_m(self) -> float:
        """Length of the air that swings in a hole, both ends included. [m]"""
        return self.thickness_m + hole_end_m(self.hole_m, self.open_share)

    def impedance(self, frequency_hz: ArrayLike) -> Complex:
        """Air in the holes as a mass, with friction on their walls and around their ends.

        References
        ----------
        Cox and D'Antonio, Acoustic Absorbers and Diffusers, chapter on resonant absorbers (from
        memory).
        """
        return _openings(frequency_hz, self, self.thickness_m / self.hole_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Slotted:
    """A stiff front of slats with open slots between them."""

    thickness_m: float
    """Of the slats [m]."""
    slot_m: float
    """Width of a slot [m]."""
    open_share: float
    """Slot over slot and slat [1]."""

    @property
    def title(self) -> str:
        return (
            f"slats {1000 * self.thickness_m:g} mm, slots {1000 * self.slot_m:g} mm, "
            f"{100 * self.open_share:.3g} % open"
        )

    @property
    def effective_m(self) -> float:
        """Depth of the air that swings in a slot, both ends included. [m]"""
        return self.thickness_m + 2 * slot_end(self.open_share) * self.slot_m

    def impedance(self, frequency_hz: ArrayLike) -> Complex:
        """As for holes, friction on the two walls of a slot."""
        return _openings(frequency_hz, self, self.thickness_m / (2 * self.slot_m))


@dataclass(frozen=True, slots=True, kw_only=True)
class Microperforated:
    """A plate with holes so fine that their own friction absorbs."""

    thickness_m: float
    """Of the plate [m]."""
    hole_m: float
    """Diameter of a hole [m]."""
    open_share: float
    """Of the plate's area [1]."""

    @property
    def title(self) -> str:
        return (
            f"micro-perforated plate {1e3 * self.thickness_m:g} mm, holes {1e3 * self.hole_m:g} mm"
        )

    def impedance(self, frequency_hz: ArrayLike) -> Complex:
        """Maa's approximation between the narrow and the wide hole.

        References
        ----------
        Maa, J. Acoust. Soc. Am. 104 (1998), Eq. 4 and 5 (from memory).
        """
        omega = 2 * np.pi * np.asarray(frequency_hz, dtype=float)
        d, t, p = self.hole_m, self.thickness_m, self.open_share
        k = d * np.sqrt(omega * DENSITY_KG_M3 / (4 * VISCOSITY_PA_S))
        r = 32 * VISCOSITY_PA_S * t / (p * IMPEDANCE_PA_S_M * d**2)
        r = r * (np.sqrt(1 + k**2 / 32) + np.sqrt(2) / 32 * k * d / t)
        m = t / (p * SPEED_OF_SOUND_M_S) * (1 + 1 / np.sqrt(9 + k**2 / 2) + 0.85 * d / t)
        return np.asarray(r + 1j * omega * m)


def hole_end_m(hole_m: float, open_share: float) -> float:
    r"""End correction of a round hole among others, both ends together.

    Returns
    -------
    float
        :math:`0.85 \cdot d (1 - 1.47 \sqrt\epsilon + 0.47 \sqrt{\epsilon^3})`. [m]

    References
    ----------
    Cox and D'Antonio, Acoustic Absorbers and Diffusers (from memory).
    """
    return float(0.85 * hole_m * (1 - 1.47 * open_share**0.5 + 0.47 * open_share**1.5))


def slot_end(open_share: float) -> float:
    r"""End correction of one end of a slot, over its width: :math:`-\ln\sin(\pi\epsilon/2)/\pi`.
    [1]

    References
    ----------
    Cox and D'Antonio, Acoustic Absorbers and Diffusers (from memory).

    >>> round(slot_end(6 / 76), 6)
    0.665254
    """
    return float(-np.log(np.sin(np.pi * open_share / 2)) / np.pi)


def _mass(frequency_hz: ArrayLike, mass_kg_m2: float) -> Complex:
    return np.asarray(
        2j * np.pi * np.asarray(frequency_hz, dtype=float) * mass_kg_m2 / IMPEDANCE_PA_S_M
    )


def _openings(frequency_hz: ArrayLike, face: Perforated | Slotted, walls: float) -> Complex:
    """Mass and friction of the air in openings, spread over the face. `walls`: friction on walls
    over that of ends."""
    omega = 2 * np.pi * np.asarray(frequency_hz, dtype=float)
    friction = np.sqrt(8 * VISCOSITY_PA_S / DENSITY_KG_M3 * omega) * (1 + walls)
    return np.asarray(
        (friction + 1j * omega * face.effective_m) / (face.open_share * SPEED_OF_SOUND_M_S)
    )
