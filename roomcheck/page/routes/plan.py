"""The plans: side by side, one on the drawing to be changed by hand, and the signature."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from roomcheck.errors import RoomcheckError
from roomcheck.facts import fact
from roomcheck.job import (
    LayoutAct,
    back_to,
    edit_job,
    load_job,
    look_edits,
    read_layouts,
    signed_path,
)
from roomcheck.page.base.live import stamp
from roomcheck.page.routes.asked import fields, home_of, wants_part
from roomcheck.page.routes.host import JOB, Host

if TYPE_CHECKING:
    from roomcheck.chain import Chain
    from roomcheck.page.planning.by_hand import State
    from roomcheck.page.planning.plan import PlanPage
    from roomcheck.page.planning.planner import Answer, Planner
    from roomcheck.quote import Offer

Form = Mapping[str, str]


@dataclass
class PlanRoutes:
    """The page, the processes that know the rooms, and every change of the pieces."""

    host: Host
    planners: dict[str, Planner] = field(default_factory=dict)

    def routes(self) -> list[Route]:
        return [
            Route(f"{JOB}/plan", self.plan),
            Route(f"{JOB}/plan/try", self.attempt, methods=["POST"]),
            Route(f"{JOB}/plan/{{what}}", self.change, methods=["POST"]),
        ]

    def end(self) -> None:
        """End every process."""
        for planner in self.planners.values():
            planner.end()

    def planner(self, name: str, folder: Path) -> Planner:
        from roomcheck.page.planning.planner import Planner

        if name not in self.planners:
            self.planners[name] = Planner(folder, lambda event: self.host.live.tell(name, event))
        self.planners[name].up_to_date()
        return self.planners[name]

    def plan(self, request: Request) -> Response:
        return self._plan(request, request.query_params)

    def _plan(self, request: Request, query: Form) -> Response:
        from roomcheck.chain import open_job
        from roomcheck.page.planning.plan import plan_page

        name, folder = self.host.name_and_folder(request)
        chain = open_job(folder)
        number = query.get("plan", "")
        page = self.host.memory.of(("plan", name, number), folder, lambda: plan_page(chain, number))
        works = self.host.works
        problem = works.problems.get(f"{name} plans", "")
        has_takes = chain.has_takes("before")
        if not page.ready and has_takes and not problem:
            works.start(name, folder, "plans")
        more = self._by_hand(request, query, chain, page) if page.state and not page.signed else {}
        return self.host.show_place(
            request,
            "plan",
            chain.job,
            page=page,
            has_takes=has_takes,
            doing=works.doing(name),
            problem=problem,
            **({"hand": None, "answer": None, "asked": ""} | more),
        )

    def _by_hand(
        self, request: Request, query: Form, chain: Chain, page: PlanPage
    ) -> dict[str, Any]:
        """The drawing to place pieces on, and the answer to what was asked beside it."""
        from roomcheck.page.planning.drawing import compared, drawing, undrawn
        from roomcheck.page.planning.planner import Question

        name, folder = self.host.name_and_folder(request)
        state = page.state
        assert state is not None
        planner = self.planner(name, folder)
        waiting = undrawn(chain)
        if waiting and not planner.asked:
            planner.ask(Question("draw", waiting))
        hand = drawing(chain, page, query.get("face", ""), planner.site)
        two = tuple(int(one) for one in request.query_params.getlist("state") if one.isdecimal())
        if two:
            hand = replace(hand, compared=compared(chain, two))
        kind, about = _asked(query)
        answer = planner.ask(Question(kind, state.base, about)) if kind else None
        if answer is not None and answer.plan is not None:
            there = replace(page, state=replace(state, pieces=answer.plan.pieces))
            other = drawing(chain, there, hand.face.name, planner.site, answer.plan)
            return {
                "hand": hand,
                "answer": answer,
                "asked": about,
                "other": other,
                "comparing": two,
            }
        return {"hand": hand, "answer": answer, "asked": about, "other": None, "comparing": two}

    async def attempt(self, request: Request) -> Response:
        """What a piece would do elsewhere: nothing is changed."""
        form = await fields(request)
        return await run_in_threadpool(self._attempt, request, form)

    def _attempt(self, request: Request, form: Form) -> Response:
        from roomcheck.page.planning.by_hand import moved
        from roomcheck.page.planning.drawing import effect

        name, folder = self.host.name_and_folder(request)
        planner = self.planner(name, folder)
        job = load_job(folder) if planner.job is None else planner.job
        state, like = self._base(folder, form)
        _, there = moved(job, state, form)
        found = effect(job, there.pieces, planner.site, like)
        return self.host.show("effect.html", effect=found)

    async def change(self, request: Request) -> Response:
        """One change of the pieces, or another plan made of them."""
        form = await fields(request)
        return await run_in_threadpool(self._change, request, form)

    def _change(self, request: Request, form: Form) -> Response:
        from roomcheck.page.planning.by_hand import CHANGES, change, keep

        name, folder = self.host.name_and_folder(request)
        what = request.path_params["what"]
        if signed_path(folder).exists():
            raise RoomcheckError("the plan is signed; what changes now is a change order")
        job = load_job(folder)
        if what == "look":
            _choose_look(folder, form)
        elif what == "back":
            self._back(folder, form)
        elif what == "again":
            self._again(name, folder, form)
        elif what in CHANGES:
            state, _ = self._base(folder, form)
            change(job, what, state, form)
        elif what == "take":
            state, _ = self._base(folder, form)
            answer = self._answer(name, folder, form)
            if answer is None or answer.plan is None:
                raise RoomcheckError("that plan is not worked out yet; wait a moment")
            keep(job, fact(LayoutAct.AIMED), replace(state, pieces=answer.plan.pieces))
        else:
            return self.host.nothing(request)
        self.host.live.tell(name, {"changed": stamp(folder), "takes": True})
        if wants_part(request):
            return self._plan(request, {"face": form.get("face", "")})
        face = quote(form.get("face", ""), safe="")
        return RedirectResponse(f"{home_of(name)}/plan?face={face}", 303)

    def _back(self, folder: Path, form: Form) -> None:
        try:
            back_to(folder, int(form.get("state", "")))
        except ValueError as problem:
            raise RoomcheckError(f"there is no such state: {problem}") from problem

    def _again(self, name: str, folder: Path, form: Form) -> None:
        from roomcheck.page.planning.planner import Question

        answer = self.planner(name, folder).ask(Question("again", form.get("base", "")))
        if answer is not None and answer.problem:
            raise RoomcheckError(answer.problem)

    def _answer(self, name: str, folder: Path, form: Form) -> Answer | None:
        from roomcheck.page.planning.planner import Question

        question = Question("aim", form.get("base", ""), form.get("about", ""))
        return self.planner(name, folder).ask(question)

    def _base(self, folder: Path, form: Form) -> tuple[State, Offer | None]:
        """The pieces that a form is about, and the nearest plan that was predicted in full."""
        from roomcheck.page.planning.by_hand import State

        known = self.host.memory.of(("offers", folder), folder, lambda: _offers(folder))
        kind, _, number = form.get("base", "").partition(":")
        if kind == "state" and number.isdecimal():
            for layout in read_layouts(folder):
                if layout.number == int(number):
                    return State.of(layout), known[-1] if known else None
        if kind == "plan" and number.isdecimal() and 1 <= int(number) <= len(known):
            offer = known[int(number) - 1]
            pieces = offer.plan.pieces
            return State(base=form["base"], pieces=pieces, began_with=pieces), offer
        raise RoomcheckError("these pieces are no longer shown; look at the page again")


def _choose_look(folder: Path, form: Form) -> None:
    """A cloth, stain or paint for a kind of piece; none: as the shop usually makes it."""
    job, piece = load_job(folder), form.get("piece", "")
    edits = look_edits(job, form.get("value") or None, piece)
    if edits:
        edit_job(folder, edits)


def _offers(folder: Path) -> tuple[Offer, ...]:
    from roomcheck.chain import open_job

    return open_job(folder).kept_plans() or ()


def _asked(query: Mapping[str, str]) -> tuple[str, str]:
    """What is asked beside the drawing: why a piece is there, another budget, another target."""
    if query.get("why"):
        return "why", query["why"]
    for what in ("budget", "longest"):
        text = query.get(what, "").strip()
        if text.isascii() and text.isdecimal():
            return "aim", f"{what}={text}"
    return "", ""
