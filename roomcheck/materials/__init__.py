"""How surfaces, porous layers and diffusers absorb and scatter."""

from roomcheck.materials.absorption import Absorption

__all__ = ["Absorption"]
