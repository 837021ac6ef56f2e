"""Progress as events, and an end on request."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum

from roomcheck.errors import RoomcheckError


class Activity(StrEnum):
    """What a step does."""

    LAY = "lay"
    READ = "read"
    ANALYSE = "analyse"
    JUDGE = "judge"
    CALIBRATE = "calibrate"
    PLAN = "plan"
    BUILD = "build"
    PRICE = "price"
    SIMULATE = "simulate"
    VERIFY = "verify"
    LEARN = "learn"
    REPORT = "report"


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """One event of the work on a job."""

    kind: Activity
    done: int
    """Parts of this step that are finished; 0 when it begins."""
    of: int
    """Parts that it has."""


SHOWN = (
    Activity.LAY,
    Activity.READ,
    Activity.ANALYSE,
    Activity.CALIBRATE,
    Activity.PLAN,
    Activity.PRICE,
    Activity.SIMULATE,
    Activity.LEARN,
    Activity.REPORT,
)
"""Steps that take more than a second: people are told of them."""


def left(step: Progress, gone_s: float) -> str:
    """How much of a step is done, and how long the rest takes at the pace so far.

    Parameters
    ----------
    step : Progress
        With at least one part done.
    gone_s : float
        Since it began. [s]
    """
    from roomcheck.words import say

    rest_s = gone_s * (step.of - step.done) / step.done
    return say("doing_parts", done_pct=100 * step.done / step.of, left_s=rest_s)


class Stopped(RoomcheckError):
    """The work ended because somebody asked for it; what was finished is kept."""

    def __init__(self) -> None:
        super().__init__("stopped on request; what was finished is kept")


@dataclass(frozen=True, kw_only=True)
class Steps:
    """Who hears of the steps, and who may end them."""

    on_step: Callable[[Progress], None] | None = None
    """Gets every event, in the thread that computes."""
    stop: Callable[[], bool] | None = None
    """Asked before and after every step, such as the `is_set` of an event; True ends the work."""

    @contextmanager
    def step(self, kind: Activity, done: int = 0, of: int = 1) -> Iterator[None]:
        """One part of a step, from its beginning to its end.

        Raises
        ------
        Stopped
            `stop` asked for an end.
        """
        self._tell(Progress(kind=kind, done=done, of=of))
        yield
        self._tell(Progress(kind=kind, done=done + 1, of=of))

    def parts(self, kind: Activity) -> Callable[[int, int], None]:
        """What a stage calls with how many of its parts are done, and how many there are."""
        return lambda done, of: self._tell(Progress(kind=kind, done=done, of=of))

    def _tell(self, step: Progress) -> None:
        if self.stop is not None and self.stop():
            raise Stopped
        if self.on_step is not None:
            self.on_step(step)
