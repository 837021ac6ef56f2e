"""How surfaces, porous layers and diffusers absorb and scatter."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.doors import door

if TYPE_CHECKING:
    from roomcheck.materials.absorption import Absorption
    from roomcheck.materials.layers.corners import Shape, corner_trap
    from roomcheck.materials.layers.diffusers import (
        design_hz,
        half_wave_hz,
        is_prime,
        panel_diffusion,
        primitive_root_array,
        primitive_root_sequence,
        primitive_roots,
        quadratic_residue_array,
        quadratic_residues,
        quarter_wave_hz,
    )
    from roomcheck.materials.layers.facings import (
        Facing,
        Microperforated,
        Perforated,
        Sheet,
        Slotted,
    )
    from roomcheck.materials.layers.porous import IN_ROOMS, porous_layer
    from roomcheck.materials.layers.resonators import resonator
    from roomcheck.materials.table.handbooks import MATERIALS, UnknownMaterial, absorption_of
    from roomcheck.materials.table.people import SPREAD, CarriedDecay, person_m2, with_people
    from roomcheck.materials.table.scattering import SCATTERING, Scattering

__all__ = [
    "IN_ROOMS",
    "MATERIALS",
    "SCATTERING",
    "SPREAD",
    "Absorption",
    "CarriedDecay",
    "Facing",
    "Microperforated",
    "Perforated",
    "Scattering",
    "Shape",
    "Sheet",
    "Slotted",
    "UnknownMaterial",
    "absorption_of",
    "corner_trap",
    "design_hz",
    "half_wave_hz",
    "is_prime",
    "panel_diffusion",
    "person_m2",
    "porous_layer",
    "primitive_root_array",
    "primitive_root_sequence",
    "primitive_roots",
    "quadratic_residue_array",
    "quadratic_residues",
    "quarter_wave_hz",
    "resonator",
    "with_people",
]

__getattr__, __dir__ = door(__name__)
