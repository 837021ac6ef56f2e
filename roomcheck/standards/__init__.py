"""Published documents: limits, formulas and tables, one module an edition."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.doors import door

if TYPE_CHECKING:
    from roomcheck.standards.errors import BadTarget, OutsideScope, UnknownUse
    from roomcheck.standards.iso_9613_1_1993 import (
        air_absorption_db_per_m,
        energy_attenuation_per_m,
        speed_of_sound_m_s,
    )
    from roomcheck.standards.target import BandLimit, Target
    from roomcheck.standards.targets.own import own_target
    from roomcheck.standards.targets.uses import USES, target_for

__all__ = [
    "USES",
    "BadTarget",
    "BandLimit",
    "OutsideScope",
    "Target",
    "UnknownUse",
    "air_absorption_db_per_m",
    "energy_attenuation_per_m",
    "own_target",
    "speed_of_sound_m_s",
    "target_for",
]

__getattr__, __dir__ = door(__name__)
