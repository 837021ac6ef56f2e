"""How long a prediction takes, beside pyroomacoustics' own image sources and its hybrid with ray
tracing, in one run.

    python benchmarks/prediction_speed.py

Printed: calibration; 1,000 draws of a plan by statistics; image sources before and after for one
source and three seats in eight bands; then how cost grows with decay time, patches and walls. Use
the ratios: machines differ.
"""

from __future__ import annotations

import dataclasses
import time
from collections.abc import Callable

import numpy as np

from ranges import MATERIALS, PANEL_M, analysis_of, random_job
from roomcheck.analyse import Analysis
from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import Job, Placement, Position
from roomcheck.predict import Statistics, predict

RATE_HZ = 16_000


def a_job(room: Room, scale: float = 1.0) -> Job:
    """One source, three seats, in a room of gypsum board and carpet."""
    job = random_job(np.random.default_rng(5), MATERIALS)
    kinds = {"floor": "thin carpet on concrete"}
    seats = ((3.6, 2.7, 1.2), (2.2, 3.2, 1.1), (4.1, 1.4, 1.3))
    return dataclasses.replace(
        job,
        room=room,
        materials=tuple((f.name, kinds.get(f.name, "gypsum board on studs")) for f in room.faces),
        sources=(Position(name="S1", point=Point(1.2 * scale, 1.3 * scale, 1.2)),),
        microphones=tuple(Position(name=f"P{i}", point=Point(*s)) for i, s in enumerate(seats, 1)),
    )


def measured(decay_s: float = 0.8) -> Analysis:
    """A "before" with the same decay in all bands."""
    return analysis_of(np.full(5, decay_s), np.full(5, 0.03), 200.0)


def panels(count: int) -> tuple[Placement, ...]:
    """Rows of panels on the south wall."""
    return tuple(
        Placement(
            name=f"A{i}",
            piece="panel",
            face="south",
            place=Rectangle(0.05 + 0.62 * (i % 8), 0.1 + 1.25 * (i // 8), *PANEL_M),
        )
        for i in range(count)
    )


def timed(work: Callable[[], object], times: int = 3) -> float:
    """Least processor time of a few runs: other work on the machine does not count. [s]"""
    found = []
    for _ in range(times):
        started = time.process_time()
        work()
        found.append(time.process_time() - started)
    return min(found)


def table() -> list[tuple[str, float]]:
    """(what, seconds) of every piece of work."""
    box = Room.box(5, 4, 2.8)
    job, told = a_job(box), measured()
    room = Statistics.of(job, told)
    rows = [
        ("calibration, averages only", timed(lambda: Statistics.of(job, told))),
        (
            "calibration, image sources followed",
            timed(lambda: Statistics.of(job, told, follow_paths=True)),
        ),
        (
            "1,000 draws of a plan of 12 panels by statistics",
            timed(lambda: predict(job, panels(12), told, simulate=False, room=room)),
        ),
        (
            "before and after, 1 source, 3 seats, 8 bands, image sources",
            timed(lambda: predict(job, panels(12), told)),
        ),
    ]
    rows += [
        (
            f"pyroomacoustics, image sources to order {order}, one band, 3 seats",
            timed(lambda o=order: theirs(box, o, 0, 0.15)),
        )
        for order in (17, 30, 60)
    ]
    rows.append(
        (
            "pyroomacoustics, order 3 and 20,000 rays, one band, 3 seats",
            timed(lambda: theirs(box, 3, 20_000, 0.15)),
        )
    )
    rows += [
        (
            f"before and after at a decay of {T:g} s",
            timed(lambda T=T: predict(job, panels(12), measured(T))),
        )
        for T in (0.4, 0.8, 1.6)
    ]
    rows += [
        (f"before and after with {n} panels", timed(lambda n=n: predict(job, panels(n), told)))
        for n in (2, 8, 16)
    ]
    for walls in (4, 6, 8):
        around = a_job(polygon(walls))
        rows.append(
            (
                f"before and after in a plan of {walls} walls",
                timed(lambda j=around: predict(j, panels(4), told), 1),
            )
        )
    return rows


def polygon(walls: int) -> Room:
    """A plan of about the office's size: a box, an L, a T."""
    plans = {
        4: ((0, 0), (5, 0), (5.0, 4), (0, 4)),
        6: ((0, 0), (5, 0), (5, 4), (2.5, 4), (2.5, 3.5), (0, 3.5)),
        8: ((0, 0), (5, 0), (5, 4), (4, 4), (4, 4.5), (2, 4.5), (2, 3.5), (0, 3.5)),
    }
    names = ("south", *(f"w{i}" for i in range(1, walls)))
    return Room(
        corners=tuple((float(x), float(y)) for x, y in plans[walls]), height_m=2.8, wall_names=names
    )


def theirs(room: Room, order: int, rays: int, alpha: float) -> None:
    """The same room in pyroomacoustics, one flat band, one source and three seats."""
    import pyroomacoustics as pra

    sides = [room.corners[2][0], room.corners[2][1], room.height_m]
    model = pra.ShoeBox(
        sides,
        fs=RATE_HZ,
        max_order=order,
        materials=pra.Material(alpha, 0.1),
        ray_tracing=rays > 0,
        air_absorption=False,
    )
    if rays:
        model.set_ray_tracing(n_rays=rays, receiver_radius=0.3)
    model.add_source([1.2, 1.3, 1.2])
    model.add_microphone(np.array([[3.6, 2.7, 1.2], [2.2, 3.2, 1.1], [4.1, 1.4, 1.3]]).T)
    model.compute_rir()


def main() -> None:
    for what, seconds in table():
        print(f"{seconds:8.3f} s  {what}")


if __name__ == "__main__":
    main()
