"""Measure a room that sounds wrong, plan treatment a small shop can build, and show that the
promise was kept.

    >>> import roomcheck
    >>> sweep = roomcheck.Sweep(low_hz=20, high_hz=20_000, seconds=1, rate_hz=48_000)
    >>> sweep.samples.shape
    (48000,)

Names are imported when they are first used, so that `import roomcheck` costs nothing.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from roomcheck.analyse import BandDecay, decays
    from roomcheck.errors import RoomcheckError
    from roomcheck.job import load_job
    from roomcheck.measure import ImpulseResponse, Sweep, impulse_response, load_impulse_response
    from roomcheck.workshop import block_diffuser

__version__ = "0.1.0"

_HOMES = {
    "BandDecay": "analyse",
    "ImpulseResponse": "measure",
    "RoomcheckError": "errors",
    "Sweep": "measure",
    "block_diffuser": "workshop",
    "decays": "analyse",
    "impulse_response": "measure",
    "load_impulse_response": "measure",
    "load_job": "job",
}

__all__ = [
    "BandDecay",
    "ImpulseResponse",
    "RoomcheckError",
    "Sweep",
    "block_diffuser",
    "decays",
    "impulse_response",
    "load_impulse_response",
    "load_job",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'roomcheck' has no attribute {name!r}")
    return getattr(importlib.import_module(f"roomcheck.{_HOMES[name]}"), name)
