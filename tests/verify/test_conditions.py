"""Places and units of the conditions of two visits."""

from __future__ import annotations

from dataclasses import replace

import pytest

from promises import a_job, a_visit
from roomcheck.geometry import Point
from roomcheck.verify import Difference
from roomcheck.verify.conditions import differences


def visits(moved_m: float):
    """P1 of the second visit stands so far along x from where it stood."""
    made = []
    for name, off in (("before", 0.0), ("after", moved_m)):
        visit = a_visit(name, {500.0: (0.5, 0.5)})
        stood = [
            (Point(1.0, 1.0, 1.5), Point(2.0 + off * (i == 0), 2.0 + i, 1.2)) for i in range(2)
        ]
        places = zip(visit.positions, stood, strict=True)
        made.append(replace(visit, positions=tuple(replace(p, stood_m=at) for p, at in places)))
    return made


@pytest.mark.parametrize(
    ("moved_m", "noted", "barred"), [(0.0, 0, 0), (0.02, 0, 0), (0.10, 1, 0), (0.5, 1, 1)]
)
def test_a_place_that_moved_is_told_and_from_a_foot_on_bars(moved_m, noted, barred):
    differ = differences(a_job(), *visits(moved_m))
    assert (len(differ.all), len(differ.barring)) == (noted, barred)
    if noted:
        assert differ.all[0].kind == Difference.MOVED and differ.all[0]["position"] == "P1"
        assert differ.all[0]["distance_m"] == pytest.approx(moved_m)


def test_an_imperial_job_reads_degrees_fahrenheit():
    """70 degF is 21.1 degC, 95 is 35 (by definition)."""
    job = replace(
        a_job(after={"temperature_c": 35.0}, before={"temperature_c": 21.1}), units="imperial"
    )
    (difference,) = differences(job, *visits(0.0)).all
    assert difference.kind == Difference.TEMPERATURE
