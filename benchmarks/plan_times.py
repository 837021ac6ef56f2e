"""Processor time of plan sets: random boxes, rooms of other plans, changes by hand; solver and predictor apart.

    python benchmarks/plan_times.py --journal plan-times.json --minutes 4

The jobs are the random ones of `plans.py`; those of other plans are the same jobs in an L or in a
polygon of five walls. Processor time of this process alone, one thread of linear algebra, from the
measured room to the whole set: places, calibration, searches, predictions, notes. The journal keeps
every job, so that a run that is stopped goes on where it was; what other code took is left out. It is no
timed test.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from statistics import median
from typing import Any

import scipy.optimize

import plans as jobs
import roomcheck.recommend.aims.choosing as choosing_module
import roomcheck.recommend.solver.site as site_module
from pages import table
from roomcheck.geometry import Point, Room
from roomcheck.job import Forbid, Job, Position
from roomcheck.recommend import AIMED, Plan, Site, change_in, drawn
from roomcheck.recommend.aims.plans import plans_of
from roomcheck.standards import target_for

BOXES = tuple(str(seed) for seed in range(50))
OTHERS = ("L0", "L1", "L2", "L4", "L8", "P0", "P1", "P2", "P4", "P7")
"""A letter for the plan, and the seed of the job."""
ASKED_S = {"boxes": 4.0, "others": 8.0, "by hand": 0.7}

STAGES = ("standards", "materials", "job", "analyse", "judge", "predict", "recommend")

Spent = dict[str, Any]


class Clock:
    """Processor time in the calls of some functions."""

    def __init__(self) -> None:
        self.spent_s, self.calls, self.depth = 0.0, 0, 0

    def timed(self, function: Callable[..., Any]) -> Callable[..., Any]:
        def run(*given: Any, **named: Any) -> Any:
            began, self.depth = time.process_time(), self.depth + 1
            try:
                return function(*given, **named)
            finally:
                self.depth -= 1
                if not self.depth:
                    self.spent_s += time.process_time() - began
                    self.calls += 1

        return run

    def taken(self) -> tuple[float, int]:
        """What was spent since it was last asked, and in how many calls. [s]"""
        found = self.spent_s, self.calls
        self.spent_s, self.calls = 0.0, 0
        return found


SOLVER, PREDICTOR, CHOICES = Clock(), Clock(), Clock()


def watched() -> None:
    """Have the clocks run from now on."""
    scipy.optimize.milp = SOLVER.timed(scipy.optimize.milp)
    choosing_module.choose = CHOICES.timed(choosing_module.choose)
    for name in ("foreseen", "drawn_again"):
        setattr(site_module, name, PREDICTOR.timed(getattr(site_module, name)))


def job_of(name: str) -> tuple[Job, int]:
    """A random job by its name, and its seed."""
    if name.isdigit():
        return jobs.random_job(int(name)), int(name)
    kind, seed = name[0], int(name[1:])
    job = jobs.random_job(seed)
    side_m, height_m = job.room.floor_area_m2**0.5, job.room.height_m
    a, b = 1.25 * side_m, 0.95 * side_m
    corners = {
        "L": ((0, 0), (a, 0), (a, 0.55 * b), (0.55 * a, 0.55 * b), (0.55 * a, b), (0, b)),
        "P": ((0, 0), (a, 0.1 * b), (1.02 * a, 0.7 * b), (0.6 * a, b), (0.05 * a, 0.9 * b)),
    }[kind]
    room = Room(corners=corners, height_m=height_m, wall_names=tuple("abcdef"[: len(corners)]))
    kinds = {face.name: face.kind for face in room.faces}
    materials = tuple(
        (name, jobs.WALLS["walls" if kind == "wall" else kind]) for name, kind in kinds.items()
    )
    at = {"S1": (0.2, 0.3), "S2": (0.35, 0.2), "P1": (0.4, 0.5), "P2": (0.3, 0.6)}
    ends = [Position(name=n, point=Point(x * a, y * b, 1.2)) for n, (x, y) in at.items()]
    empty = replace(job, patches=(), keep_clear=(), framing=(), fixings=(), materials=materials)
    return replace(empty, room=room, sources=tuple(ends[:2]), microphones=tuple(ends[2:])), seed


def spent(name: str) -> Spent:
    """One job from its measured room to the plan set, then a change by hand each way."""
    job, seed = job_of(name)
    verdict = jobs.made.verdict(target_for(job.use, job.room.volume_m3))
    visit = jobs.first_visit(job, seed)
    for clock in (SOLVER, PREDICTOR, CHOICES):
        clock.taken()
    began = time.process_time()
    site = Site.of(job, visit, verdict)
    plans = plans_of(site)
    all_s = time.process_time() - began
    (solver_s, programs), (predictor_s, predicted) = SOLVER.taken(), PREDICTOR.taken()
    _, solved = CHOICES.taken()
    plan = next(plan for plan in plans if plan.kind in AIMED)
    return {
        "places": len(site.places),
        "all_s": round(all_s, 3),
        "solver_s": round(solver_s, 3),
        "predictor_s": round(predictor_s, 3),
        "solved": solved,
        "programs": programs,
        "predicted": predicted // 2,
        "price": float(plan.price or 0),
        "changed_s": round(_changed(site, plan), 3),
        "moved_s": round(_moved(site, plan), 3),
    }


def _changed(site: Site, plan: Plan) -> float:
    """A plan solved again where its first piece may not hang. [s]"""
    if not plan.pieces:
        return 0.0
    first, began = plan.pieces[0], time.process_time()
    change_in(site, plan, (), (Forbid(face=first.face, place=first.place),))
    return time.process_time() - began


def _moved(site: Site, plan: Plan) -> float:
    """The same pieces but the last, as a person took it down: nothing is searched. [s]"""
    began = time.process_time()
    drawn(site, plan.pieces[:-1])
    return time.process_time() - began


def kept(journal: Path, code: str) -> dict[str, Spent]:
    """What this code took, by job."""
    found = json.loads(journal.read_text()) if journal.is_file() else {}
    return {name: one for name, one in found.items() if one.get("code") == code}


def code_now() -> str:
    """Digest of all that a plan set comes from, and of the jobs."""
    digest, top = hashlib.sha256(), Path(__file__).parent.parent
    stages = (path for stage in STAGES for path in (top / "roomcheck" / stage).rglob("*.py"))
    for path in (*sorted(stages), Path(__file__).parent / "plans.py"):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


def lines(found: dict[str, Spent]) -> Iterator[str]:
    """The table, as markdown, of what is known."""
    groups = {
        f"plan set, {len(BOXES)} random boxes": (BOXES, "all_s", "boxes"),
        "plan set, rooms of other plans": (OTHERS, "all_s", "others"),
        "solved again round a change by hand": (BOXES, "changed_s", "by hand"),
        "pieces placed by hand, the whole plan": (BOXES, "moved_s", "by hand"),
    }
    rows = []
    for title, (names, key, asked) in groups.items():
        there = [found[name] for name in names if name in found]
        if not there:
            continue
        solver = _both([one["solver_s"] for one in there]) if key == "all_s" else ""
        predictor = _both([one["predictor_s"] for one in there]) if key == "all_s" else ""
        times = [one[key] for one in there]
        late = sum(one > ASKED_S[asked] for one in times)
        rows.append(
            (
                title,
                str(len(there)),
                _both(times),
                f"{ASKED_S[asked]:g}",
                str(late),
                solver,
                predictor,
            )
        )
    heads = (
        "median and most", "jobs", "processor time [s]", "asked at most [s]", "above",
        "of it the solver [s]", "of it the predictor [s]",
    )  # fmt: skip
    yield table(heads, rows)
    sets = [one for one in found.values() if one["predicted"]]
    if sets:
        most = max(sets, key=lambda one: one["all_s"])
        yield (
            f"\nOf {len(sets)} sets each predicts {median(one['predicted'] for one in sets):.0f} plans in full and makes "
            f"{median(one['solved'] for one in sets):.0f} choices by {median(one['programs'] for one in sets):.0f} integer "
            f"programs on the median; the longest {most['predicted']}, {most['solved']} and {most['programs']}, among "
            f"{most['places']} places."
        )


def _both(values: list[float]) -> str:
    return f"{median(values):.2f}, {max(values):.2f}"


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--journal", type=Path, default=Path("plan-times.json"))
    parser.add_argument("--minutes", type=float, default=15.0)
    given = parser.parse_args()
    code, began = code_now(), time.monotonic()
    found = kept(given.journal, code)
    watched()
    for name in (*BOXES, *OTHERS):
        if name in found:
            continue
        if time.monotonic() - began > 60 * given.minutes:
            break
        found[name] = {"code": code, **spent(name)}
        given.journal.write_text(json.dumps(found, indent=1))
        print(name, found[name], flush=True)
    print("\n".join(lines(found)))


if __name__ == "__main__":
    main()
