"""A job without a room: pieces that are built for nowhere in particular."""

from __future__ import annotations

from pathlib import Path

from roomcheck.geometry import Room
from roomcheck.job.model.job import Job, Paper, Units
from roomcheck.job.model.shop import Shop


def bench_job(
    shop: Shop, *, units: Units, title: str, currency: str = "$", paper: Paper | None = None
) -> Job:
    """What the building stage needs to know where nothing is measured and nothing hangs yet.

    Its room stands in for none and is never shown.
    """
    return Job(
        folder=Path(),
        made_up=False,
        client="",
        title=title,
        complaint="",
        use="",
        own_target=None,
        units=units,
        paper=paper or ("letter" if units == "imperial" else "a4"),
        currency=currency,
        budget=None,
        room=Room.box(10.0, 10.0, 3.0),
        materials=(),
        patches=(),
        keep_clear=(),
        framing=(),
        fixings=(),
        furnishings=(),
        sources=(),
        microphones=(),
        seat=None,
        visits=(),
        shop=shop,
    )
