"""The room as it is typed, and in space for every page that shows it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from roomcheck.errors import RoomcheckError
from roomcheck.job import Job, load_job, redo, undo
from roomcheck.materials import MATERIALS
from roomcheck.measure import kept_photos
from roomcheck.page.places import furniture, room
from roomcheck.page.routes.asked import fields, home_of, wants_part
from roomcheck.page.routes.host import JOB, Host
from roomcheck.report import plan_sketch, wall_sketch


@dataclass(frozen=True)
class RoomRoutes:
    """The drawing, the fields, and every change of them."""

    host: Host

    def routes(self) -> list[Route]:
        return [
            Route(f"{JOB}/room", self.room),
            Route(f"{JOB}/room/{{what}}", self.change, methods=["POST"]),
        ]

    def room(self, request: Request) -> Response:
        return self._room(request, self.host.job(request), dict(request.query_params))

    def _room(
        self,
        request: Request,
        job: Job,
        query: Mapping[str, str],
        typed: Mapping[str, str] | None = None,
        problems: Mapping[str, str] | None = None,
    ) -> Response:
        thing = query.get("thing", "")
        page = room.room_page(
            job, face=query.get("face", ""), thing=thing, typed=typed, problems=problems
        )
        face = quote(page.face.name, safe="")
        photographed = any(photo.face == page.face.name for photo in kept_photos(job))
        straight = f"{home_of(request.path_params['name'])}/photo/straight.jpg?face={face}"
        under = straight if photographed and query.get("under") else ""
        here = f"?face={face}{'&under=1' if under else ''}&thing="
        return self.host.show_place(
            request,
            "room",
            job,
            422 if problems else 200,
            page=page,
            thing=thing,
            plan=plan_sketch(job, chosen=page.face.name),
            wall=wall_sketch(job, page.face, chosen=thing, link=here, under=under),
            photographed=photographed,
            under=under,
            materials=tuple(MATERIALS.values()),
            search=query.get("find", ""),
        )

    async def change(self, request: Request) -> Response:
        """One change of the room, from a form."""
        form = await fields(request)
        return await run_in_threadpool(self._change, request, form)

    def _change(self, request: Request, form: Mapping[str, str]) -> Response:
        name, folder = self.host.name_and_folder(request)
        make = _CHANGES.get(request.path_params["what"])
        if make is None:
            return self.host.nothing(request)
        face = form.get("face", "")
        try:
            thing = make(folder, form) or form.get("thing", "")
        except ValueError as problem:
            raise RoomcheckError(f"not understood: {problem}") from problem
        except room.NotSaved as problem:
            typed = {form.get("way", ""): form.get("value", "")} | dict(form)
            if wants_part(request):
                return JSONResponse({"problems": problem.problems}, 422)
            return self._room(request, load_job(folder), form, typed, problem.problems)
        if wants_part(request):
            return self._room(request, load_job(folder), {"face": face, "thing": thing})
        query = f"?face={quote(face, safe='')}&thing={quote(thing, safe='')}"
        return RedirectResponse(f"{home_of(name)}/room{query}", 303)


Form = Mapping[str, str]


def _set(folder: Path, form: Form) -> None:
    room.save(folder, form.get("way", ""), form.get("value", ""), form.get("was"))


def _move(folder: Path, form: Form) -> None:
    u_m, v_m = float(form.get("u", "")), float(form.get("v", ""))
    room.move(folder, load_job(folder), form.get("way", ""), u_m, v_m)


def _add(folder: Path, form: Form) -> str:
    return room.add(folder, load_job(folder), form.get("what", ""), form.get("face", ""))[1]


def _remove(folder: Path, form: Form) -> None:
    room.remove(folder, form.get("way", ""))


def _stand(folder: Path, form: Form) -> None:
    furniture.stand(folder, load_job(folder), form.get("way", ""))


def _make_corners(folder: Path, _form: Form) -> None:
    room.make_corners(folder, load_job(folder))


def _corners(folder: Path, form: Form) -> None:
    room.set_corners(folder, form)


def _undo(folder: Path, _form: Form) -> None:
    undo(folder)


def _redo(folder: Path, _form: Form) -> None:
    redo(folder)


_CHANGES: Mapping[str, Callable[[Path, Form], str | None]] = {
    "set": _set,
    "move": _move,
    "add": _add,
    "remove": _remove,
    "stand": _stand,
    "make-corners": _make_corners,
    "corners": _corners,
    "undo": _undo,
    "redo": _redo,
}
"""Each makes one change of the job's file; the way to what it made, where it made something."""


@dataclass(frozen=True)
class SpaceRoutes:
    """The scene for the browser to draw, and the same as a still drawing."""

    host: Host

    def routes(self) -> list[Route]:
        return [Route(f"{JOB}/space.json", self.scene), Route(f"{JOB}/space.svg", self.still)]

    def scene(self, request: Request) -> Response:
        from roomcheck.chain import open_job
        from roomcheck.page.places.space import space_json

        name, folder = self.host.name_and_folder(request)
        plan = request.query_params.get("plan", "")
        text = self.host.memory.of(
            ("space", name, plan), folder, lambda: space_json(open_job(folder), plan)
        )
        return Response(text, media_type="application/json")

    def still(self, request: Request) -> Response:
        from roomcheck.chain import open_job
        from roomcheck.page.places.space import space_svg

        name, folder = self.host.name_and_folder(request)
        plan = request.query_params.get("plan", "")
        text = self.host.memory.of(
            ("still", name, plan), folder, lambda: space_svg(open_job(folder), plan)
        )
        return Response(text, media_type="image/svg+xml")
