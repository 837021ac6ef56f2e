"""Photographs of the walls: brought in, marked, measured."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from roomcheck.errors import RoomcheckError
from roomcheck.page.base.memory import Memory
from roomcheck.page.routes.asked import fields, home_of, saved_upload, wants_part
from roomcheck.page.routes.host import JOB, Host
from roomcheck.report import wall_sketch

_PICTURES = 4
"""So many computed pictures are kept."""


@dataclass
class PhotoRoutes:
    """The page of a wall's photograph, its pictures, and every change of its marks."""

    host: Host
    pictures: Memory = field(default_factory=lambda: Memory(most=_PICTURES))

    def routes(self) -> list[Route]:
        return [
            Route(f"{JOB}/photo", self.page),
            Route(f"{JOB}/photo/picture.jpg", self.picture),
            Route(f"{JOB}/photo/straight.jpg", self.straight),
            Route(f"{JOB}/photo/plan.jpg", self.plan),
            Route(f"{JOB}/photo/add", self.add, methods=["POST"]),
            Route(f"{JOB}/photo/{{what}}", self.change, methods=["POST"]),
        ]

    def page(self, request: Request) -> Response:
        return self._page(request, dict(request.query_params))

    def _page(self, request: Request, query: Mapping[str, str]) -> Response:
        from roomcheck.chain import open_job
        from roomcheck.page.photos.photo import photo_page

        name, folder = self.host.name_and_folder(request)
        chain = open_job(folder)
        wrong = ""
        try:
            page = photo_page(chain, query)
        except RoomcheckError as problem:
            if "set" not in query:
                raise
            wrong = str(problem)
            page = photo_page(chain, {key: query[key] for key in query if key != "set"})
        under = f"{home_of(name)}/photo/straight.jpg?{urlencode({'face': page.face.name})}"
        return self.host.show_place(
            request,
            "photo",
            chain.job,
            page=page,
            query=dict.fromkeys(_KEPT, "") | dict(query),
            wrong=wrong,
            wall=wall_sketch(
                chain.job, page.face, link="room?thing=", under=under if page.fits else ""
            ),
        )

    def picture(self, request: Request) -> Response:
        from roomcheck.page.photos.pictures import shown_picture

        _, folder = self.host.name_and_folder(request)
        return _jpeg(shown_picture(folder, request.query_params.get("file", "")))

    def straight(self, request: Request) -> Response:
        from roomcheck.job import load_job
        from roomcheck.page.photos.pictures import straight_picture

        return self._made(request, lambda folder, face: straight_picture(load_job(folder), face))

    def plan(self, request: Request) -> Response:
        from roomcheck.chain import open_job
        from roomcheck.page.photos.pictures import plan_picture

        return self._made(request, lambda folder, face: plan_picture(open_job(folder), face))

    def _made(self, request: Request, make: Callable[[Path, str], bytes | None]) -> Response:
        name, folder = self.host.name_and_folder(request)
        face = request.query_params.get("face", "")
        asked = (request.url.path, name, face)
        made = self.pictures.of(asked, folder, lambda: make(folder, face))
        return self.host.nothing(request) if made is None else _jpeg(made)

    async def add(self, request: Request) -> Response:
        """Bring a photograph in."""
        from roomcheck.page.photos.forms import MOST_BYTES, take_in

        name, folder = self.host.name_and_folder(request)
        length = request.headers.get("content-length", "")
        if not length.isdecimal() or int(length) > MOST_BYTES:
            raise RoomcheckError("a photograph of more than 60 MiB is not taken")
        async with request.form(max_files=1, max_fields=5) as form:
            face = str(form.get("face", ""))
            with tempfile.TemporaryDirectory() as draft:
                path = await saved_upload(form.get("photo"), Path(draft))
                if path is None:
                    raise RoomcheckError("choose or take a photograph first")
                file = await run_in_threadpool(_taken_in, take_in, folder, face, path)
        go = f"{home_of(name)}/photo?{urlencode({'face': face, 'file': file, 'set': 'wall'})}"
        if wants_part(request):
            return JSONResponse({"became": "Brought in.", "go": go})
        return RedirectResponse(go, 303)

    async def change(self, request: Request) -> Response:
        """One change, from a form."""
        form = await fields(request)
        return await run_in_threadpool(self._change, request, form)

    def _change(self, request: Request, form: Mapping[str, str]) -> Response:
        from roomcheck.page.photos import forms

        name, folder = self.host.name_and_folder(request)
        ways: Mapping[str, Callable[[Path, Mapping[str, str]], Any]] = {
            "mark": forms.mark,
            "enter": forms.enter,
            "people": forms.answer,
            "aside": forms.put_aside,
        }
        make = ways.get(request.path_params["what"])
        if make is None:
            return self.host.nothing(request)
        make(folder, form)
        kept = {key: form[key] for key in _KEPT if form.get(key)}
        if wants_part(request):
            return self._page(request, kept)
        return RedirectResponse(f"{home_of(name)}/photo?{urlencode(kept)}", 303)


_KEPT = ("face", "file", "set", "name", "left", "bottom", "width", "height")
"""What of an address stays when something was changed."""


def _taken_in(
    take_in: Callable[[Path, str, Path], str], folder: Path, face: str, path: Path
) -> str:
    try:
        return take_in(folder, face, path)
    except RoomcheckError as problem:
        raise RoomcheckError(str(problem).replace(str(path), path.name)) from problem


def _jpeg(data: bytes) -> Response:
    return Response(data, media_type="image/jpeg")
