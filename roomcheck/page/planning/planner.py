"""A process of its own that knows a job's room: it hands that out for quick answers, and works out
whole ones, while the page goes on."""

from __future__ import annotations

import contextlib
import json
import threading
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TYPE_CHECKING, Any

from roomcheck.chain import Chain, draw, open_job
from roomcheck.errors import RoomcheckError
from roomcheck.facts import fact
from roomcheck.job import Forbid, Layout, LayoutAct, Pin, keep_layout, read_layouts
from roomcheck.page.base.live import typed_stamp
from roomcheck.page.base.work import PROCESSES
from roomcheck.page.planning.changes import worked_out
from roomcheck.recommend import Plan, Site, aimed, change_in, why
from roomcheck.report import change_blocks, html_blocks, why_blocks

if TYPE_CHECKING:
    from roomcheck.job import Job

Tell = Callable[[dict[str, Any]], None]


@dataclass(frozen=True, slots=True)
class Question:
    """What is to be worked out."""

    kind: str
    """ "draw", "why", "aim", "again" or "change"."""
    base: str
    """What it starts from: "plan:2", "state:7"; for a change order, which were signed before."""
    about: str = ""
    """Name of the piece; the budget or the share of the target; a change order as JSON."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What came of it."""

    html: str = ""
    plan: Plan | None = None
    problem: str = ""


def plan_at(chain: Chain, base: str) -> tuple[Plan, Layout | None]:
    """The plan that a base names, worked out where it is not kept.

    Raises
    ------
    RoomcheckError
        There is none.
    """
    kind, _, number = base.partition(":")
    if number.isascii() and number.isdecimal():
        if kind == "state":
            for layout in read_layouts(chain.job.folder):
                if layout.number == int(number):
                    return draw(chain, layout).plan, layout
        if kind == "plan" and 1 <= int(number) <= len(chain.found):
            return chain.found[int(number) - 1], None
    raise RoomcheckError(f"there is no plan {base!r} any more; choose one of those shown")


def answer(chain: Chain, question: Question) -> Answer:
    """Work one thing out."""
    if question.kind == "change":
        return _change(chain, question.about)
    plan, layout = plan_at(chain, question.base)
    return _WAYS[question.kind](chain, plan, layout, question.about)


def _draw(_chain: Chain, plan: Plan, _layout: Layout | None, _about: str) -> Answer:
    return Answer(plan=plan)


def _why(chain: Chain, plan: Plan, _layout: Layout | None, name: str) -> Answer:
    return Answer(html=html_blocks(why_blocks(chain.job, why(chain.site, plan, name))))


def _aim(chain: Chain, plan: Plan, _layout: Layout | None, about: str) -> Answer:
    what, _, value = about.partition("=")
    if what == "budget":
        return Answer(plan=aimed(chain.site, plan, budget=Decimal(value)))
    return Answer(plan=aimed(chain.site, plan, longest=float(value) / 100))


def _again(chain: Chain, plan: Plan, layout: Layout | None, _about: str) -> Answer:
    """Plan anew round what is pinned and forbidden, and keep that as the newest state."""
    pinned: tuple[str, ...] = () if layout is None else layout.pinned
    forbidden: tuple[Forbid, ...] = () if layout is None else layout.forbidden
    pins = [Pin(piece=p.piece, face=p.face, place=p.place) for p in plan.pieces if p.name in pinned]
    change = change_in(chain.site, plan, pins, forbidden)
    keep_layout(
        chain.job.folder,
        fact(LayoutAct.AGAIN),
        change.plan.pieces,
        pinned=pinned,
        forbidden=forbidden,
    )
    return Answer(html=html_blocks(change_blocks(chain.job, change, kept=True, everything=False)))


def _change(chain: Chain, about: str) -> Answer:
    """Work out a change order, which is kept among the job's results: what is signed is read anew,
    the room is not."""
    now = open_job(chain.job.folder)
    now.__dict__["site"] = chain.site
    worked_out(now, json.loads(about))
    return Answer()


_WAYS: Mapping[str, Callable[[Chain, Plan, Layout | None, str], Answer]] = {
    "draw": _draw,
    "why": _why,
    "aim": _aim,
    "again": _again,
}


def work(folder: str, pipe: Connection) -> None:
    """Hand the room out, then answer questions until nobody asks any more."""
    with contextlib.suppress(EOFError, OSError, KeyboardInterrupt):
        try:
            chain = open_job(folder)
            pipe.send(("site", chain.site))
        except RoomcheckError as problem:
            pipe.send(("problem", str(problem)))
            return
        while True:
            question = pipe.recv()
            try:
                found = answer(chain, question)
            except RoomcheckError as problem:
                found = Answer(problem=str(problem))
            pipe.send((question, found))


@dataclass
class Planner:
    """The process of one job, as the server sees it."""

    folder: Path
    tell: Tell
    state: str = ""
    """What was typed when it began."""
    site: Site | None = None
    problem: str = ""
    answers: dict[Hashable, Answer] = field(default_factory=dict)
    asked: list[Question] = field(default_factory=list)
    """Not answered yet."""
    process: Any = None
    pipe: Connection | None = None
    lock: threading.Lock = field(default_factory=threading.Lock)

    @property
    def job(self) -> Job | None:
        return None if self.site is None else self.site.job

    def up_to_date(self) -> None:
        """Begin, or begin again where the job changed since."""
        now = typed_stamp(self.folder)
        with self.lock:
            alive = self.process is not None and self.process.is_alive()
            if now == self.state and (alive or self.problem):
                return
            self._end()
            self.state, self.site, self.problem = now, None, ""
            self.answers, self.asked = {}, []
            inward, outward = PROCESSES.Pipe()
            self.process = PROCESSES.Process(
                target=work, args=(str(self.folder), outward), name="roomcheck planner", daemon=True
            )
            self.process.start()
            outward.close()
            self.pipe = inward
            threading.Thread(target=self._follow, args=(inward,), daemon=True).start()

    def ask(self, question: Question) -> Answer | None:
        """The answer; None where it is being worked out, and told of when it is there."""
        self.up_to_date()
        known = self.answers.get(question)
        if known is not None:
            return known
        if self.problem:
            return Answer(problem=self.problem)
        with self.lock:
            if question not in self.asked and self.pipe is not None:
                self.asked.append(question)
                with contextlib.suppress(OSError):
                    self.pipe.send(question)
        return None

    def end(self) -> None:
        with self.lock:
            self._end()

    def _end(self) -> None:
        if self.process is not None and self.process.is_alive():
            self.process.terminate()
        self.process = None

    def _follow(self, pipe: Connection) -> None:
        """Take in what the process says, until it ends."""
        with contextlib.suppress(EOFError, OSError):
            while True:
                about, value = pipe.recv()
                if pipe is not self.pipe:
                    return
                if about == "site":
                    self.site = value
                elif about == "problem":
                    self.problem = value
                else:
                    self.answers[about] = value
                    self.asked = [one for one in self.asked if one != about]
                self.tell({"ended": "planner"})
