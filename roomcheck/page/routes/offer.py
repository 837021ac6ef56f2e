"""The offer as the client sees it, what is ticked and said in it, and the signature."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

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

Form = Mapping[str, str]


@dataclass(frozen=True)
class OfferRoutes:
    """The page of the offer, every change of it, and its signature."""

    host: Host

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
        if has_takes and not problem and not page.papers and (fresh or not page.ready):
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
        )

    async def change(self, request: Request) -> Response:
        """One change of what is offered, from a form."""
        form = await fields(request)
        return await run_in_threadpool(self._change, request, form)

    def _change(self, request: Request, form: Form) -> Response:
        name, folder = self.host.name_and_folder(request)
        make = _CHANGES.get(request.path_params["what"])
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
