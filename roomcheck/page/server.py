"""The routes: each asks a work place for values and fills a template with them."""

from __future__ import annotations

import contextlib
import importlib
import json
import re
import tempfile
import threading
from collections.abc import AsyncIterator, Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

import jinja2
from markupsafe import Markup
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import (
    FileResponse,
    HTMLResponse,
    JSONResponse,
    RedirectResponse,
    Response,
    StreamingResponse,
)
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

import roomcheck
from roomcheck.errors import RoomcheckError
from roomcheck.job import Job, can_undo, load_job, redo, undo
from roomcheck.materials import MATERIALS
from roomcheck.page.base.folder import Folder, NotHere
from roomcheck.page.base.guard import Guard, Keys
from roomcheck.page.base.live import Live, stamp
from roomcheck.page.base.work import Task, Works
from roomcheck.page.places import room
from roomcheck.page.places.jobs import NewJobMistakes, listed, make_job, next_step
from roomcheck.report import plan_sketch, wall_sketch
from roomcheck.standards import USES

if TYPE_CHECKING:
    from roomcheck.measure import ImpulseResponse, PlaceHeard
    from roomcheck.page.places.recorder import Recorder
    from roomcheck.page.places.visit import Takes

MOST_BYTES = 2**30
"""A recording of more is not taken. [bytes]"""

VISITS = ("before", "after")
_HERE = Path(__file__).parent


@dataclass
class Server:
    """What one `roomcheck open` holds: the folder, the keys, the card, the work."""

    folder: Folder
    keys: Keys
    live: Live = field(default_factory=Live)
    phone_root: str = ""
    """Where telephones find this computer: "https://192.168.1.7:41234"."""

    def __post_init__(self) -> None:
        self.works = Works(tell=self.live.tell)
        self.templates = jinja2.Environment(
            loader=jinja2.FileSystemLoader(_HERE / "templates"),
            autoescape=True,
            undefined=jinja2.StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )

    @cached_property
    def recorder(self) -> Recorder:
        from roomcheck.page.places.recorder import Recorder

        return Recorder(tell=self.live.tell)

    @cached_property
    def takes(self) -> Takes:
        from roomcheck.page.places.visit import Takes

        return Takes(ready=self._takes_read)

    def _takes_read(self, folder: Path) -> None:
        for name in self.folder.names():
            if self.folder.of(name) == folder:
                self.live.tell(name, {"changed": stamp(folder), "takes": True})

    def app(self, hosts: frozenset[str] = frozenset(), *, phones: bool = False) -> Starlette:
        """The application behind its guard: for this computer, or for telephones under the names
        `hosts`."""
        job = "/job/{name}"
        routes = [
            Route("/", self.jobs),
            Route("/new", self.new, methods=["POST"]),
            Route("/phones", self.phones, methods=["POST"]),
            Route(job, self.job),
            Route(f"{job}/room", self.room),
            Route(f"{job}/room/{{what}}", self.change, methods=["POST"]),
            Route(f"{job}/visit", self.visit),
            Route(f"{job}/visit/meter", self.meter),
            Route(f"{job}/visit/{{what}}", self.record, methods=["POST"]),
            Route(f"{job}/findings", self.findings),
            Route(f"{job}/plan", self.plan),
            Route(f"{job}/plan/sign", self.sign, methods=["POST"]),
            Route(f"{job}/task/{{task}}", self.work, methods=["POST"]),
            Route(f"{job}/events", self.events),
            Route(f"{job}/documents/{{file}}", self.document),
            Mount("/static", StaticFiles(directory=_HERE / "static"), name="static"),
        ]
        app = Starlette(
            routes=routes,
            exception_handlers={RoomcheckError: self.problem, 404: self.nothing},
            lifespan=None if phones else self._lifespan,
        )
        app.add_middleware(Guard, keys=self.keys, hosts=hosts, phones=phones)
        return app

    @contextlib.asynccontextmanager
    async def _lifespan(self, _app: Starlette) -> AsyncIterator[None]:
        # The first page is there at once; what the others need comes in meanwhile.
        threading.Thread(target=preload, daemon=True).start()
        yield
        self.recorder.stop()
        self.works.end_all()

    def show(self, template: str, status: int = 200, **values: Any) -> HTMLResponse:
        """A page from a template."""
        page = self.templates.get_template(template)
        common = {
            "version": roomcheck.__version__,
            "single": self.folder.single,
            "quoted": lambda text: quote(str(text), safe=""),
            "drawn": Markup,
        }
        return HTMLResponse(page.render(**common, **values), status)

    def problem(self, request: Request, problem: Exception) -> Response:
        """What a person can put right, in the words of the commands."""
        status = 404 if isinstance(problem, NotHere) else 409
        if wants_part(request):
            return JSONResponse({"problem": str(problem)}, status)
        return self.show("problem.html", status, problem=str(problem), back=back_of(request))

    def nothing(self, request: Request, _problem: Exception) -> Response:
        text = "There is nothing at this address."
        return self.show("problem.html", 404, problem=text, back=back_of(request))

    def phone_address(self) -> str:
        """What a telephone's camera reads; empty where none may come in."""
        return f"{self.phone_root}/key/{self.keys.phone}" if self.keys.phone else ""

    def code(self) -> str:
        """The telephones' address as a picture for their cameras; empty where none may come in."""
        if not self.phone_address():
            return ""
        import segno

        return str(segno.make(self.phone_address(), error="l").svg_data_uri(scale=5, border=4))

    def phones(self, request: Request) -> Response:
        """Send all telephones away."""
        self.keys.end_phones()
        return RedirectResponse("/", 303)

    # --- jobs

    def jobs(self, _request: Request) -> Response:
        if self.folder.single:
            return RedirectResponse(f"/job/{quote(self.folder.path.name, safe='')}", 303)
        return self._jobs({}, {})

    def _jobs(self, form: Mapping[str, str], problems: Mapping[str, str]) -> Response:
        return self.show(
            "jobs.html",
            422 if problems else 200,
            jobs=listed(self.folder),
            uses=USES,
            form=form,
            problems=problems,
            title=self.folder.path.name,
        )

    async def new(self, request: Request) -> Response:
        form = await fields(request)
        if self.folder.single:
            raise RoomcheckError(
                "this folder is a job itself; open the folder above to begin another"
            )
        try:
            name = await run_in_threadpool(make_job, self.folder.path, form)
        except NewJobMistakes as problem:
            return await run_in_threadpool(self._jobs, form, problem.problems)
        return RedirectResponse(f"/job/{quote(name, safe='')}/room", 303)

    def job(self, request: Request) -> Response:
        name = request.path_params["name"]
        place, _ = next_step(load_job(self.folder.of(name)))
        return RedirectResponse(f"/job/{quote(name, safe='')}/{place}", 303)

    def _page(self, request: Request, place: str, job: Job) -> dict[str, Any]:
        """What every page of a job shows."""
        name = request.path_params["name"]
        next_place, next_words = next_step(job)
        return {
            "name": name,
            "job": job,
            "place": place,
            "here": f"/job/{quote(name, safe='')}",
            "stamp": stamp(job.folder),
            "undo": can_undo(job.folder),
            "next_place": next_place,
            "next_words": next_words,
            "phone": is_phone(request),
        }

    # --- the room

    def room(self, request: Request) -> Response:
        job = load_job(self.folder.of(request.path_params["name"]))
        return self._room(request, job, dict(request.query_params))

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
        here = f"?face={quote(page.face.name, safe='')}&thing="
        return self.show(
            "room.html",
            422 if problems else 200,
            page=page,
            thing=thing,
            plan=plan_sketch(job, chosen=page.face.name),
            wall=wall_sketch(job, page.face, chosen=thing, link=here),
            materials=tuple(MATERIALS.values()),
            search=query.get("find", ""),
            **self._page(request, "room", job),
        )

    async def change(self, request: Request) -> Response:
        """One change of the room, from a form."""
        form = await fields(request)
        return await run_in_threadpool(self._change, request, form)

    def _change(self, request: Request, form: Mapping[str, str]) -> Response:
        folder = self.folder.of(request.path_params["name"])
        what = request.path_params["what"]
        face, thing = form.get("face", ""), form.get("thing", "")
        try:
            if what == "set":
                was = form.get("was")
                room.save(folder, form.get("way", ""), form.get("value", ""), was)
            elif what == "move":
                u_m, v_m = float(form.get("u", "")), float(form.get("v", ""))
                room.move(folder, load_job(folder), form.get("way", ""), u_m, v_m)
            elif what == "add":
                _, thing = room.add(folder, load_job(folder), form.get("what", ""), face)
            elif what in _CHANGES:
                _CHANGES[what](folder, form)
            else:
                return self.nothing(request, Exception())
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
        return RedirectResponse(
            f"/job/{quote(request.path_params['name'], safe='')}/room{query}", 303
        )

    # --- visits

    def visit(self, request: Request) -> Response:
        from roomcheck.page.places.visit import visit_page

        job = load_job(self.folder.of(request.path_params["name"]))
        visit = visit_of(request.query_params.get("visit", "before"))
        name = request.path_params["name"]
        recorder = self.recorder
        return self.show(
            "visit.html",
            page=visit_page(job, visit, self.takes, request.query_params.get("pair", "")),
            visit=visit,
            plan=plan_sketch(job, link="room?face="),
            conditions=job.visit(visit),
            session=recorder.last.get(name),
            how=recorder.how(job, name, visit),
            devices=recorder.devices,
            phone_address=self.phone_address(),
            phones=len(self.keys.phones),
            code=self.code(),
            listed=devices_listed() if "devices" in request.query_params else None,
            **self._page(request, "visit", job),
        )

    async def record(self, request: Request) -> Response:
        """Start, answer or stop a take; bring a recording in; note the conditions."""
        folder = self.folder.of(request.path_params["name"])
        what = request.path_params["what"]
        if what == "add":
            await self._add(request, folder)
        else:
            form = await fields(request)
            await run_in_threadpool(self._record, request, folder, what, form)
        if wants_part(request):
            return JSONResponse({"started": what})
        visit = request.query_params.get("visit", "before")
        return RedirectResponse(
            f"/job/{quote(request.path_params['name'], safe='')}/visit?visit={visit}", 303
        )

    def meter(self, request: Request) -> Response:
        """The level at the input, as a stream of lines."""
        self.folder.of(request.path_params["name"])

        def lines() -> Iterator[str]:
            try:
                for peak, rms in self.recorder.levels():
                    yield f"data: {json.dumps({'peak': round(peak, 1), 'rms': round(rms, 1)})}\n\n"
            except RoomcheckError as problem:
                yield f"data: {json.dumps({'problem': str(problem)})}\n\n"
            yield 'data: {"end": true}\n\n'

        return StreamingResponse(lines(), media_type="text/event-stream")

    def _record(self, request: Request, folder: Path, what: str, form: Mapping[str, str]) -> None:
        from roomcheck.page.places.recorder import Devices

        name = request.path_params["name"]
        visit = visit_of(request.query_params.get("visit", "before"))
        if what == "take":
            wait_s = min(max(float(form.get("wait", "5") or 5), 0.0), 60.0)
            pair = (form.get("source", ""), form.get("microphone", ""))
            self.recorder.record(name, folder, visit, *pair, wait_s)
        elif what == "level":
            self.recorder.find(name, folder, visit)
        elif what == "noise":
            self.recorder.noise(name, folder, visit, form.get("conditions", ""))
        elif what == "answer":
            self.recorder.answer(form.get("choice", ""), phone=is_phone(request))
        elif what == "stop":
            self.recorder.stop()
        elif what == "devices":
            self.recorder.devices = Devices(
                input=device(form.get("input", "")),
                output=device(form.get("output", "")),
                input_channel=int(form.get("input_channel", "1") or 1),
                output_channel=int(form.get("output_channel", "1") or 1),
            )
        elif what == "keep":
            from roomcheck.measure import keep_anyway

            known = self.takes.of(folder, visit)[0]
            if form.get("take", "") in [take.take for take in known]:
                keep_anyway(load_job(folder), form["take"])
        elif what in ("aside", "back"):
            from roomcheck.measure import find_take, put_back, set_aside

            job = load_job(folder)
            move = set_aside if what == "aside" else put_back
            move(job, find_take(job, form.get("take", "")))
        elif what == "conditions":
            from roomcheck.page.places.conditions import set_conditions

            set_conditions(load_job(folder), visit, form)
        else:
            raise RoomcheckError(f"nothing is known of {what!r}")

    async def _add(self, request: Request, folder: Path) -> None:
        """Bring a recording in that was dropped onto a pair of places."""
        length = request.headers.get("content-length", "")
        if not length.isdecimal() or int(length) > MOST_BYTES:
            raise RoomcheckError("a recording of more than 1 GiB is not taken; cut it first")
        visit = visit_of(request.query_params.get("visit", "before"))
        async with request.form(max_files=2, max_fields=20) as form:
            values = {key: value for key, value in form.items() if isinstance(value, str)}
            with tempfile.TemporaryDirectory() as draft:
                path = await saved_upload(form.get("recording"), Path(draft))
                if path is None:
                    raise RoomcheckError("choose a recording first")
                sweep = await saved_upload(form.get("sweep"), Path(draft) / "played")
                await run_in_threadpool(add_upload, folder, visit, path, sweep, values)

    # --- findings and documents

    def findings(self, request: Request) -> Response:
        from roomcheck.chain import open_job
        from roomcheck.page.places.findings import findings_page

        name = request.path_params["name"]
        folder = self.folder.of(name)
        visit = visit_of(request.query_params.get("visit", "before"))
        chain = open_job(folder)
        page = findings_page(chain, visit)
        task: Task = "findings-after" if visit == "after" else "findings-before"
        problem = self.works.problems.get(f"{name} {task}", "")
        if not page.ready and chain.has_takes(visit) and not problem:
            self.works.start(name, folder, task)
        return self.show(
            "findings.html",
            page=page,
            visit=visit,
            task=task,
            has_takes=chain.has_takes(visit),
            doing=self.works.doing(name),
            problem=problem,
            documents=documents_of(folder),
            **self._page(request, "findings", chain.job),
        )

    def plan(self, request: Request) -> Response:
        from roomcheck.chain import open_job
        from roomcheck.page.places.plan import plan_page

        name = request.path_params["name"]
        folder = self.folder.of(name)
        chain = open_job(folder)
        page = plan_page(chain, request.query_params.get("plan", ""))
        problem = self.works.problems.get(f"{name} plans", "")
        has_takes = chain.has_takes("before")
        if not page.ready and has_takes and not problem:
            self.works.start(name, folder, "plans")
        return self.show(
            "plan.html",
            page=page,
            has_takes=has_takes,
            doing=self.works.doing(name),
            problem=problem,
            **self._page(request, "plan", chain.job),
        )

    async def sign(self, request: Request) -> Response:
        form = await fields(request)
        return await run_in_threadpool(self._sign, request, form)

    def _sign(self, request: Request, form: Mapping[str, str]) -> Response:
        """Keep what the client accepts, once."""
        from roomcheck.chain import open_job

        name = request.path_params["name"]
        number, who = form.get("plan", ""), form.get("name", "").strip()
        if not who or form.get("sure") != "on" or not number.isdecimal():
            raise RoomcheckError("a name is needed, and the tick that it was accepted today")
        open_job(self.folder.of(name), int(number)).sign(who, date.today().isoformat())
        return RedirectResponse(f"/job/{quote(name, safe='')}/plan", 303)

    def work(self, request: Request) -> Response:
        """Begin a long task, or the same again after a problem."""
        name, task = request.path_params["name"], request.path_params["task"]
        if task not in ("findings-before", "findings-after", "plans", "documents"):
            return self.nothing(request, Exception())
        self.works.start(name, self.folder.of(name), task)
        if wants_part(request):
            return JSONResponse({"started": task})
        return RedirectResponse(f"/job/{quote(name, safe='')}/findings", 303)

    def document(self, request: Request) -> Response:
        """One of the job's documents, by its name in the list, never by a path."""
        folder = self.folder.of(request.path_params["name"])
        listed_files = {path.name: path for path in documents_of(folder)}
        path = listed_files.get(request.path_params["file"])
        if path is None:
            return self.nothing(request, Exception())
        return FileResponse(path, content_disposition_type="inline", filename=path.name)

    async def events(self, request: Request) -> Response:
        name = request.path_params["name"]
        folder = self.folder.of(name)
        return StreamingResponse(self.live.listen(name, folder), media_type="text/event-stream")


_CHANGES: Mapping[str, Callable[[Path, Mapping[str, str]], Job]] = {
    "remove": lambda folder, form: room.remove(folder, form.get("way", "")),
    "make-corners": lambda folder, _form: room.make_corners(folder, load_job(folder)),
    "corners": room.set_corners,
    "undo": lambda folder, _form: undo(folder),
    "redo": lambda folder, _form: redo(folder),
}


def preload() -> None:
    """Import what the places need."""
    for place in ("findings", "recorder", "visit", "conditions", "plan"):
        importlib.import_module(f"roomcheck.page.places.{place}")


def is_phone(request: Request) -> bool:
    """Whether a telephone asks, which may do less."""
    return bool(request.scope.get("state", {}).get("phone", False))


def wants_part(request: Request) -> bool:
    """Whether the page's own script asks, which puts parts in place by itself."""
    return request.headers.get("x-part") == "1"


def back_of(request: Request) -> str:
    name = request.path_params.get("name") if hasattr(request, "path_params") else None
    return f"/job/{quote(name, safe='')}/room" if name else "/"


async def fields(request: Request) -> dict[str, str]:
    """A form's texts."""
    async with request.form(max_files=0, max_fields=500, max_part_size=2**16) as form:
        return {key: value for key, value in form.items() if isinstance(value, str)}


def visit_of(text: str) -> str:
    if text not in VISITS:
        raise RoomcheckError(f"{text!r} is no visit; it is before or after")
    return text


def device(text: str) -> int | str | None:
    """A device's number or name; None for the system's own."""
    stripped = text.strip()
    if stripped.isascii() and stripped.isdecimal():
        return int(stripped)
    return stripped or None


def devices_listed() -> tuple[Any, ...]:
    from roomcheck.measure import list_devices

    return list_devices()


def documents_of(folder: Path) -> tuple[Path, ...]:
    """The documents that lie in the job's folder."""
    return tuple(sorted((folder / "documents").glob("*.pdf")))


def plain_name(name: str) -> str:
    """A file's own name, of letters, digits and little else, that can be no path.

    >>> plain_name("../../REC 001.wav"), plain_name("..")
    ('REC 001.wav', 'recording')
    """
    own = re.sub(r"[^\w .()-]", "_", name.replace("\\", "/").rpartition("/")[2])[-80:]
    return own.strip(". ") or "recording"


async def saved_upload(upload: object, folder: Path) -> Path | None:
    """An uploaded file on the disk, block by block; None where none was chosen."""
    if not isinstance(upload, UploadFile) or not upload.filename:
        return None
    folder.mkdir(exist_ok=True)
    path = folder / plain_name(upload.filename)
    with path.open("wb") as file:
        while block := await upload.read(2**20):
            await run_in_threadpool(file.write, block)
    return path


def add_upload(
    folder: Path, visit: str, path: Path, sweep: Path | None, values: Mapping[str, str]
) -> None:
    """Put an uploaded recording into the job, under the name that it had."""
    from roomcheck.analyse import looking
    from roomcheck.measure import PlaceDoubted, add_recording
    from roomcheck.words import Reader, sentences

    job = load_job(folder)
    pair = (values.get("source", ""), values.get("microphone", ""))
    channel = values.get("channel", "")
    hears = looking(job)

    def look(
        response: ImpulseResponse, *, visit: str, pair: tuple[str, str], sha256: str
    ) -> PlaceHeard:
        heard = hears(response, visit=visit, pair=pair, sha256=sha256)
        if values.get("sure") == "on":
            return replace(heard, doubts=())
        if heard.doubts:
            raise PlaceDoubted(
                where=path.name,
                found=" ".join(sentences(heard.doubts, Reader(units=job.units))),
                needed="the places and the visit that it was recorded at",
                todo="Nothing was changed. Choose the right pair, or tick that you are sure.",
                doubts=heard.doubts,
            )
        return heard

    try:
        add_recording(
            job,
            path,
            visit=visit,
            source=pair[0],
            microphone=pair[1],
            sweep=sweep,
            channel=int(channel) if channel.isdecimal() else None,
            impulse=values.get("impulse") == "on",
            called=path.name,
            look=look,
        )
    except RoomcheckError as problem:
        raise RoomcheckError(str(problem).replace(str(path), path.name)) from problem
