"""The offer as the client sees it, what is ticked and said in it, and the signature."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from roomcheck.errors import RoomcheckError
from roomcheck.job import load_job, redo, signed_path, undo
from roomcheck.page.base.live import stamp
from roomcheck.page.base.work import How
from roomcheck.page.places.room import NotSaved
from roomcheck.page.routes.asked import fields, home_of, is_phone, wants_part
from roomcheck.page.routes.host import JOB, Host
from roomcheck.page.routes.plan import PlanRoutes

if TYPE_CHECKING:
    from roomcheck.chain import Chain
    from roomcheck.page.client.papers import Draft

ASKED = ("text", "act", "piece", "stock", "face", "left", "bottom", "cost", "days")
"""Fields of a change order that is asked for."""

Form = Mapping[str, str]


@dataclass(frozen=True)
class OfferRoutes:
    """The page of the offer, every change of it, its signature, and the papers after that."""

    host: Host
    plans: PlanRoutes
    """Where the processes are that know the rooms."""

    def routes(self) -> list[Route]:
        return [
            Route(f"{JOB}/offer", self.offer),
            Route(f"{JOB}/offer/sign", self.sign, methods=["POST"]),
            Route(f"{JOB}/offer/{{what}}", self.change, methods=["POST"]),
        ]

    def offer(self, request: Request) -> Response:
        return self._offer(request, request.query_params.get("plan", ""))

    def _offer(self, request: Request, number: str) -> Response:
        from roomcheck.chain import open_job
        from roomcheck.page.client.offer import offer_page

        name, folder = self.host.name_and_folder(request)
        chain = open_job(folder)
        page = self.host.memory.of(
            ("offer", name, number), folder, lambda: offer_page(chain, number)
        )
        works = self.host.works
        has_takes = chain.has_takes("before")
        task, how = ("offer", How(plan=page.number)) if page.ready else ("plans", How())
        if page.signed_by:
            how = How()
        problem = works.problems.get(f"{name} {task}", "")
        fresh = not wants_part(request)
        placing = bool(page.offers) and not page.ready  # the plan's page works that out
        lacks = not page.papers and not placing and (fresh or not page.ready)
        if has_takes and not problem and lacks:
            works.start(name, folder, task, how)  # type: ignore[arg-type]
        return self.host.show_place(
            request,
            "offer",
            chain.job,
            page=page,
            has_takes=has_takes,
            task=task,
            doing=works.doing(name),
            problem=problem,
            **(self._after(request, chain) if page.signed_by else {}),
        )

    def _after(self, request: Request, chain: Chain) -> dict[str, Any]:
        """Change orders, invoices, and the change that is being worked out."""
        from roomcheck.page.client.papers import after_page

        asked = {key: request.query_params.get(key, "") for key in ASKED}
        found: dict[str, Any] = {"after": after_page(chain), "asked": asked, "draft": None}
        found |= {"draft_problem": "", "draft_waits": False}
        if not asked["text"]:
            return found
        try:
            found["draft"] = self._draft(request, chain, asked)
            found["draft_waits"] = found["draft"] is None
        except RoomcheckError as problem:
            found["draft_problem"] = str(problem)
        return found

    def _draft(self, request: Request, chain: Chain, asked: Form) -> Draft | None:
        """A change order; None where it is being worked out by the process that knows the room."""
        from roomcheck.page.client.papers import draft
        from roomcheck.page.planning.planner import Question

        if asked["act"] not in ("", "none"):
            name, folder = self.host.name_and_folder(request)
            about = json.dumps(asked, sort_keys=True)
            question = Question("change", str(len(chain.changes)), about)
            answer = self.plans.planner(name, folder).ask(question)
            if answer is None:
                return None
            if answer.problem:
                raise RoomcheckError(answer.problem)
        return draft(chain, asked)

    async def change(self, request: Request) -> Response:
        """One change of what is offered, from a form."""
        form = await fields(request)
        return await run_in_threadpool(self._change, request, form)

    def _change(self, request: Request, form: Form) -> Response:
        name, folder = self.host.name_and_folder(request)
        what = request.path_params["what"]
        if what in _PAPERS:
            return self._paper(request, _PAPERS[what], form)
        make = _CHANGES.get(what)
        if make is None:
            return self.host.nothing(request)
        if signed_path(folder).exists():
            raise RoomcheckError("this offer is signed; what changes now is a change order")
        try:
            make(folder, form)
        except NotSaved as problem:
            if wants_part(request):
                return JSONResponse({"problems": problem.problems}, 422)
            raise
        self._priced(name, folder, form.get("plan", ""))
        self.host.live.tell(name, {"changed": stamp(folder), "takes": True})
        if wants_part(request):
            return self._offer(request, form.get("plan", ""))
        return RedirectResponse(f"{home_of(name)}/offer?plan={_number(form)}", 303)

    def _paper(self, request: Request, name_of_act: str, form: Form) -> Response:
        """Sign a change order, or write an invoice or a credit note."""
        from roomcheck.chain import open_job
        from roomcheck.page.client import papers

        name, folder = self.host.name_and_folder(request)
        today = date.today().isoformat()
        try:
            getattr(papers, name_of_act)(open_job(folder), form, today)
        except ValueError as problem:
            raise RoomcheckError(f"not written: {problem}") from problem
        self.host.live.tell(name, {"changed": stamp(folder), "takes": True})
        return RedirectResponse(f"{home_of(name)}/offer#after", 303)

    def _priced(self, name: str, folder: Path, number: str) -> None:
        """Price what is offered anew and have its papers set; both later where the plans themselves
        must be worked out first."""
        from roomcheck.chain import open_job, priced_again

        if priced_again(open_job(folder)) and number.isdecimal():
            self.host.works.start(name, folder, "offer", How(plan=int(number)))

    async def sign(self, request: Request) -> Response:
        form = await fields(request)
        return await run_in_threadpool(self._sign, request, form)

    def _sign(self, request: Request, form: dict[str, str]) -> Response:
        from roomcheck.chain import open_job
        from roomcheck.page.client.offer import sign

        name, folder = self.host.name_and_folder(request)
        if is_phone(request):
            return self.host.nothing(request)
        sign(open_job(folder), form, date.today().isoformat())
        return RedirectResponse(f"{home_of(name)}/offer", 303)


def _number(form: Form) -> str:
    """The plan that a form is about; "" where that is no number."""
    number = form.get("plan", "")
    return number if number.isascii() and number.isdecimal() else ""


def _which(form: Form) -> int:
    """The option that a form is about, by its number."""
    number = form.get("number", "")
    if not (number.isascii() and number.isdecimal()):
        raise RoomcheckError("choose an option of the list")
    return int(number)


def _tick(folder: Path, form: Form) -> None:
    from roomcheck.page.client.words import tick_extra

    tick_extra(folder, _which(form), taken=form.get("taken") == "on")


def _add(folder: Path, form: Form) -> None:
    from roomcheck.page.client.words import add_extra

    add_extra(folder, form.get("name", "").strip(), form.get("cost", "").strip())


def _drop(folder: Path, form: Form) -> None:
    from roomcheck.page.client.words import drop_extra

    drop_extra(folder, _which(form))


def _look(folder: Path, form: Form) -> None:
    from roomcheck.page.client.words import choose_look

    job = load_job(folder)
    cloth = form.get("cloth") == "1"
    choose_look(folder, job, form.get("piece", ""), cloth, form.get("look", ""))


def _words(folder: Path, form: Form) -> None:
    from roomcheck.page.client.words import save_words

    way = form.get("way", "")
    try:
        save_words(folder, load_job(folder), way, form.get("value", ""), form.get("was"))
    except KeyError as problem:
        raise RoomcheckError(f"{way!r} is no text of the offer") from problem


_PAPERS = {"sign-change": "sign_worked_out", "invoice": "bill", "credit": "credit"}
"""What is written after the signature, by its address."""

_CHANGES: Mapping[str, Callable[[Path, Form], object]] = {
    "tick": _tick,
    "add": _add,
    "drop": _drop,
    "look": _look,
    "words": _words,
    "undo": lambda folder, _form: undo(folder),
    "set": lambda _folder, _form: None,
    "redo": lambda folder, _form: redo(folder),
}
"""Each makes one change of the job's file."""
