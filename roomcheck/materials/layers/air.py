"""The air that absorbers are computed in: 20 degrees Celsius, as the check tables of the trade take
it."""

from __future__ import annotations

from roomcheck.units import SPEED_OF_SOUND_M_S

DENSITY_KG_M3 = 1.21
IMPEDANCE_PA_S_M = DENSITY_KG_M3 * SPEED_OF_SOUND_M_S
VISCOSITY_PA_S = 1.81e-5
"""Dynamic viscosity (handbook value, from memory). [Pa s]"""
PRESSURE_PA = 101_325.0
