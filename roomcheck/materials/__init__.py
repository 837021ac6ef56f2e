"""How surfaces, porous layers and diffusers absorb and scatter."""

from roomcheck.materials.absorption import Absorption
from roomcheck.materials.porous import Facing, porous_layer
from roomcheck.materials.scattering import SCATTERING, Scattering
from roomcheck.materials.table import MATERIALS, UnknownMaterial, absorption_of

__all__ = [
    "MATERIALS",
    "SCATTERING",
    "Absorption",
    "Facing",
    "Scattering",
    "UnknownMaterial",
    "absorption_of",
    "porous_layer",
]
