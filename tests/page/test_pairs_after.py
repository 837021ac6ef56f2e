"""The page of the second visit lists the pairs that were chosen, and those measured beside them."""

from __future__ import annotations

from dataclasses import dataclass, replace

from roomcheck.geometry import Point
from roomcheck.job import Position, load_job
from roomcheck.page.places.visit import Takes, visit_page

from .conftest import make_room


@dataclass(frozen=True)
class Check:
    keep: bool = True
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True)
class Taken:
    source: str
    microphone: str
    take: str = "takes/after/S1-P3.wav"
    check: Check = Check()


class Known(Takes):
    """Takes as they would be read."""

    def of(self, folder, visit):
        return (Taken("S1", "P3"),) if visit == "after" else (), "", False


def test_the_page_lists_the_chosen_pairs_and_what_was_measured_beside_them(tmp_path):
    named = tuple(Position(name=f"P{i}", point=Point(1.0, float(i), 1.2)) for i in (1, 2, 3))
    job = load_job(make_room(tmp_path / "room"))
    job = replace(job, sources=(replace(job.sources[0], name="S1"),), microphones=named)
    takes = Known(ready=lambda folder: None)

    def listed(visit: str, pairs_after: int | None) -> list[str]:
        page = visit_page(replace(job, pairs_after=pairs_after), visit, takes)
        return [pair.microphone for pair in page.pairs]

    assert listed("after", None) == listed("before", 2) == ["P1", "P2", "P3"]
    assert listed("after", 2) == ["P1", "P2", "P3"]  # P3 was measured all the same
    takes.of = lambda folder, visit: ((), "", False)
    assert listed("after", 2) == ["P1", "P2"]
