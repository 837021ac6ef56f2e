"""Measure a room that sounds wrong, plan treatment a small shop can build, and show that the
promise was kept.

A job folder and everything that follows from it:

    job = roomcheck.open_job("harbour-room")
    job.before, job.verdict, job.plans, job.plan, job.prediction
    job.sheet, job.quote, job.agreement, job.after, job.verification, job.documents

Or one verb after the other, frozen results in and one frozen result out:

    takes   = roomcheck.measure(job, "before")
    before  = roomcheck.analyse(takes, job=job, visit="before")
    verdict = roomcheck.judge(before, job)
    plans   = roomcheck.recommend(job, before, verdict)
    sheet   = roomcheck.build(job, plans[0])
    offer   = roomcheck.quote(job, plans[0], sheet)

Or without a job, one impulse response:

    ir     = roomcheck.load_impulse_response("room.wav")
    decays = roomcheck.decays(ir, fraction=3)
    table  = pandas.DataFrame(roomcheck.to_plain(decays))

A field's unit ends its name. What a person can put right raises `RoomcheckError`; a wrong argument
in code raises `ValueError`.

    >>> import roomcheck
    >>> sweep = roomcheck.Sweep(low_hz=20, high_hz=20_000, seconds=1, rate_hz=48_000)
    >>> sweep.samples.shape
    (48000,)

Names are imported when they are first used, so that `import roomcheck` costs nothing.
"""

from __future__ import annotations

import importlib
import sys
from types import ModuleType
from typing import Any

__version__ = "0.1.0"

_NAMES = {
    "analyse": "Analysis BandDecay BandMean analyse band_means decays",
    "chain": "Chain Progress Stopped open_job",
    "errors": "RoomcheckError",
    "job": "Job load_job",
    "judge": "Verdict judge",
    "measure": "ImpulseResponse Measurement Sweep impulse_response load_impulse_response measure",
    "plain": "from_plain to_plain",
    "predict": "Outlook Prediction outlook predict",
    "quote": "Agreement Quote quote",
    "recommend": "Plan recommend",
    "report": "report",
    "verify": "Verification verify",
    "workshop": "BuildSheet block_diffuser build",
}
"""Where each public name is made; `__init__.pyi` says the same to a type checker."""

_HOMES = {name: home for home, names in _NAMES.items() for name in names.split()}

__all__ = sorted(_HOMES)  # noqa: PLE0605


class _Stage(ModuleType):
    """A stage whose verb has its own name: calling the module calls the verb."""

    def __call__(self, *args: Any, **kwargs: Any) -> Any:
        return getattr(self, self.__name__.rpartition(".")[2])(*args, **kwargs)


class _FrontDoor(ModuleType):
    """This module: names arrive when they are asked for.

    `roomcheck.judge` is a module as well as a verb. Python binds the module here as soon as
    anything imports it; so that the name means one thing before and after, it is always the module,
    and calling it calls the verb.
    """

    def __getattr__(self, name: str) -> Any:
        home = _HOMES.get(name)
        if home is None:
            raise AttributeError(f"module 'roomcheck' has no attribute {name!r}")
        module = importlib.import_module(f"roomcheck.{home}")
        return module if home == name else getattr(module, name)

    def __setattr__(self, name: str, value: Any) -> None:
        if isinstance(value, ModuleType) and _HOMES.get(name) == name:
            value.__class__ = _Stage
        super().__setattr__(name, value)

    def __dir__(self) -> list[str]:
        dunders = [name for name in super().__dir__() if name.startswith("__")]
        return sorted({*dunders, *_HOMES})


sys.modules[__name__].__class__ = _FrontDoor
