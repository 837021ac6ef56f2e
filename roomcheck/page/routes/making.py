"""The shop and the walls of one job: lists to tick, hours, marks, what was found, photographs."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from roomcheck.errors import RoomcheckError
from roomcheck.job import read_done
from roomcheck.page.routes.asked import fields, home_of, saved_upload, wants_part, who_asks
from roomcheck.page.routes.host import JOB, Host

if TYPE_CHECKING:
    from roomcheck.chain import Chain

Form = Mapping[str, str]
Act = Callable[[Path, Form, str, datetime], str | None]
"""Changes a job's progress: folder, form, who, when; what came of it, where that is said."""


@dataclass(frozen=True)
class MakingRoutes:
    """What is done with the hands."""

    host: Host

    def routes(self) -> list[Route]:
        return [
            Route(f"{JOB}/shop", self.shop),
            Route(f"{JOB}/shop/labels.pdf", self.labels),
            Route(f"{JOB}/shop/{{what}}", self.in_shop, methods=["POST"]),
            Route(f"{JOB}/hanging", self.hanging),
            Route(f"{JOB}/hanging/photo", self.photo, methods=["POST"]),
            Route(f"{JOB}/hanging/{{what}}", self.on_wall, methods=["POST"]),
        ]

    def shop(self, request: Request) -> Response:
        from roomcheck.page.making.shop import shop_page

        query = request.query_params
        asked = (query.get("list", ""), query.get("at", ""), query.get("panel", ""))

        def page(chain: Chain, sheet: Any) -> object:
            return shop_page(chain.job, sheet, read_done(chain.job.folder), *asked)

        return self._show(request, "shop", page)

    def hanging(self, request: Request) -> Response:
        from roomcheck.page.making.hanging import FOUND, hanging_page

        face = request.query_params.get("face", "")

        def page(chain: Chain, sheet: Any) -> object:
            done = read_done(chain.job.folder)
            return hanging_page(chain.job, sheet, done, face)

        return self._show(request, "hanging", page, kinds=FOUND)

    def _show(
        self,
        request: Request,
        place: str,
        make: Callable[[Chain, Any], object],
        **values: Any,
    ) -> Response:
        """A page made of the signed plan's build sheet; while that is worked out, that it is."""
        from roomcheck.chain import open_job

        name, folder = self.host.name_and_folder(request)
        chain = open_job(folder)
        works, signed = self.host.works, chain.agreement is not None
        sheet = chain.kept_sheet() if signed else None
        problem = works.problems.get(f"{name} sheet", "")
        if signed and sheet is None and not problem:
            works.start(name, folder, "sheet")
        page = None if sheet is None else make(chain, sheet)
        return self.host.show_place(
            request,
            place,
            chain.job,
            page=page,
            signed=signed,
            worked_out=sheet is not None,
            problem=problem,
            **values,
        )

    def labels(self, request: Request) -> Response:
        """The labels, to be printed at their own size."""
        from roomcheck.chain import open_job
        from roomcheck.report import label_files

        chain = open_job(self.host.name_and_folder(request)[1])
        sheet = chain.kept_sheet()
        files = () if sheet is None else label_files(chain.job, sheet)
        if not files:
            return self.host.nothing(request)
        headers = {"Content-Disposition": 'inline; filename="labels.pdf"'}
        return Response(files[0][1], media_type="application/pdf", headers=headers)

    async def in_shop(self, request: Request) -> Response:
        from roomcheck.page.making import shop

        acts: dict[str, Act] = {
            "tick": shop.tick,
            "start": shop.start,
            "stop": shop.stop,
            "hours": shop.note,
            "back": shop.back,
            "learn": _learn,
        }
        return await self._act(request, "shop", acts)

    async def on_wall(self, request: Request) -> Response:
        from roomcheck.page.making import hanging

        acts: dict[str, Act] = {
            "tick": hanging.tick,
            "found": hanging.find,
            "clear": hanging.clear,
            "back": _take_back,
        }
        return await self._act(request, "hanging", acts)

    async def _act(self, request: Request, place: str, acts: Mapping[str, Act]) -> Response:
        """One change of what is done; the page that it came from is shown again."""
        form = await fields(request)
        _, folder = self.host.name_and_folder(request)
        act = acts.get(request.path_params["what"])
        if act is None:
            return self.host.nothing(request)
        came = await run_in_threadpool(act, folder, form, who_asks(request), datetime.now())
        return self._done(request, place, form, came)

    def _done(self, request: Request, place: str, form: Form, came: str | None) -> Response:
        if wants_part(request):
            return JSONResponse({"became": came} if came else {"done": place})
        kept = {key: form[key] for key in ("tab", "panel", "face") if form.get(key)}
        names = {"tab": "list"}
        query = "&".join(f"{names.get(key, key)}={quote(kept[key], safe='')}" for key in kept)
        home = home_of(request.path_params["name"])
        return RedirectResponse(f"{home}/{place}{f'?{query}' if query else ''}", 303)

    async def photo(self, request: Request) -> Response:
        """Keep a photograph of a wall."""
        from roomcheck.page.photos.forms import MOST_BYTES, take_in

        _, folder = self.host.name_and_folder(request)
        length = request.headers.get("content-length", "")
        if not length.isdecimal() or int(length) > MOST_BYTES:
            raise RoomcheckError("a photograph of more than 60 MiB is not taken; make it smaller")
        async with request.form(max_files=1, max_fields=10) as form:
            values = {key: value for key, value in form.items() if isinstance(value, str)}
            with tempfile.TemporaryDirectory() as draft:
                path = await saved_upload(form.get("photo"), Path(draft))
                if path is None:
                    raise RoomcheckError("choose a photograph first")
                face = values.get("face", "")
                kept = await run_in_threadpool(take_in, folder, face, path)
        return self._done(request, "hanging", values, f"Photograph kept as {kept}.")


def _learn(folder: Path, form: Form, _by: str, _now: datetime) -> str:
    from roomcheck.chain import open_job
    from roomcheck.page.making.shop import learn

    chain = open_job(folder)
    sheet = chain.kept_sheet()
    if sheet is None:
        raise RoomcheckError("the build sheet is being worked out; wait a moment")
    return learn(chain.job, sheet, read_done(folder), form)


def _take_back(folder: Path, form: Form, _by: str, _now: datetime) -> None:
    from roomcheck.page.making.hanging import take_back

    take_back(folder, form)
