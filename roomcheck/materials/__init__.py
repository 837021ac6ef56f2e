"""How surfaces, porous layers and diffusers absorb and scatter."""

from roomcheck.materials.absorption import Absorption
from roomcheck.materials.corners import corner_trap
from roomcheck.materials.facings import Facing, Microperforated, Perforated, Sheet, Slotted
from roomcheck.materials.porous import porous_layer
from roomcheck.materials.resonators import resonator
from roomcheck.materials.scattering import SCATTERING, Scattering
from roomcheck.materials.table import MATERIALS, UnknownMaterial, absorption_of

__all__ = [
    "MATERIALS",
    "SCATTERING",
    "Absorption",
    "Facing",
    "Microperforated",
    "Perforated",
    "Scattering",
    "Sheet",
    "Slotted",
    "UnknownMaterial",
    "absorption_of",
    "corner_trap",
    "porous_layer",
    "resonator",
]
