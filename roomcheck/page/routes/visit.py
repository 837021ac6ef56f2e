"""A visit: takes that are recorded here or brought in, its conditions, its level."""

from __future__ import annotations

import json
import tempfile
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Route

from roomcheck.errors import RoomcheckError
from roomcheck.job import load_job
from roomcheck.page.base.live import stamp
from roomcheck.page.base.work import Saying
from roomcheck.page.routes.asked import (
    fields,
    home_of,
    is_phone,
    saved_upload,
    visit_of,
    wants_part,
)
from roomcheck.page.routes.host import JOB, Host
from roomcheck.report import plan_sketch

if TYPE_CHECKING:
    from roomcheck.page.places.recorder import Recorder
    from roomcheck.page.places.visit import Takes

MOST_BYTES = 2**30
"""A recording of more is not taken. [bytes]"""

MOST_WAIT_S = 60.0
"""The longest time to step back. [s]"""


@dataclass(frozen=True, slots=True)
class Asked:
    """One form of the page: whose job, which visit, what was typed."""

    name: str
    folder: Path
    visit: str
    form: Mapping[str, str]
    phone: bool


@dataclass
class VisitRoutes:
    """The page, the recorder and what it hears."""

    host: Host

    def routes(self) -> list[Route]:
        return [
            Route(f"{JOB}/visit", self.visit),
            Route(f"{JOB}/visit/meter", self.meter),
            Route(f"{JOB}/visit/sweep.wav", self.sweep),
            Route(f"{JOB}/visit/add", self.add, methods=["POST"]),
            Route(f"{JOB}/visit/{{what}}", self.record, methods=["POST"]),
        ]

    @cached_property
    def recorder(self) -> Recorder:
        from roomcheck.page.places.recorder import Recorder

        return Recorder(tell=self.host.live.tell)

    @cached_property
    def takes(self) -> Takes:
        from roomcheck.page.places.visit import Takes

        return Takes(ready=self._takes_read)

    def _takes_read(self, folder: Path) -> None:
        for name in self.host.folder.names():
            if self.host.folder.of(name) == folder:
                self.host.live.tell(name, {"changed": stamp(folder), "takes": True})

    def visit(self, request: Request) -> Response:
        from roomcheck.page.places.visit import visit_page

        name, _ = self.host.name_and_folder(request)
        job, visit = self.host.job(request), visit_of(request)
        recorder = self.recorder
        return self.host.show_place(
            request,
            "visit",
            job,
            page=visit_page(job, visit, self.takes, request.query_params.get("pair", "")),
            visit=visit,
            plan=plan_sketch(job, link="room?face="),
            conditions=job.visit(visit),
            session=recorder.last.get(name),
            how=recorder.how(job, name, visit),
            devices=recorder.devices,
            phone_address=self.host.phone_address(),
            phones=len(self.host.keys.phones),
            code=self.host.code(),
            listed=devices_listed() if "devices" in request.query_params else None,
        )

    def meter(self, request: Request) -> Response:
        """The level at the input, as a stream of lines."""
        self.host.name_and_folder(request)

        def lines() -> Iterator[str]:
            try:
                for peak, rms in self.recorder.levels():
                    yield f"data: {json.dumps({'peak': round(peak, 1), 'rms': round(rms, 1)})}\n\n"
            except RoomcheckError as problem:
                yield f"data: {json.dumps({'problem': str(problem)})}\n\n"
            yield 'data: {"end": true}\n\n'

        return StreamingResponse(lines(), media_type="text/event-stream")

    def sweep(self, request: Request) -> Response:
        """The sweep to be played from a telephone or any other player."""
        from roomcheck.page.places.uploads import SWEEP_NAME, own_sweep_wav

        self.host.name_and_folder(request)
        headers = {"Content-Disposition": f'attachment; filename="{SWEEP_NAME}"'}
        return Response(own_sweep_wav(), media_type="audio/wav", headers=headers)

    async def record(self, request: Request) -> Response:
        """Start, answer or stop a take; choose devices; move a take; note the conditions."""
        form = await fields(request)
        make = getattr(self, f"_{request.path_params['what']}", None)
        if request.path_params["what"] not in _ACTS or make is None:
            return self.host.nothing(request)
        name, folder = self.host.name_and_folder(request)
        asked = Asked(name, folder, visit_of(request), form, is_phone(request))
        await run_in_threadpool(make, asked)
        return self._done(request, {"started": request.path_params["what"]})

    def _done(self, request: Request, what: Mapping[str, str]) -> Response:
        if wants_part(request):
            return JSONResponse(what)
        home = home_of(request.path_params["name"])
        return RedirectResponse(f"{home}/visit?visit={visit_of(request)}", 303)

    # --- each act of `_ACTS`

    def _take(self, asked: Asked) -> None:
        form = asked.form
        wait_s = min(max(float(form.get("wait", "5") or 5), 0.0), MOST_WAIT_S)
        pair = (form.get("source", ""), form.get("microphone", ""))
        self.recorder.record(asked.name, asked.folder, asked.visit, *pair, wait_s)

    def _level(self, asked: Asked) -> None:
        self.recorder.find(asked.name, asked.folder, asked.visit)

    def _noise(self, asked: Asked) -> None:
        self.recorder.noise(asked.name, asked.folder, asked.visit, asked.form)

    def _calibrator(self, asked: Asked) -> None:
        self.recorder.calibrate(asked.name, asked.folder, asked.visit, asked.form)

    def _answer(self, asked: Asked) -> None:
        self.recorder.answer(asked.form.get("choice", ""), phone=asked.phone)

    def _stop(self, _asked: Asked) -> None:
        self.recorder.stop()

    def _devices(self, asked: Asked) -> None:
        from roomcheck.page.places.recorder import Devices

        form = asked.form
        self.recorder.devices = Devices(
            input=device(form.get("input", "")),
            output=device(form.get("output", "")),
            input_channel=int(form.get("input_channel", "1") or 1),
            output_channel=int(form.get("output_channel", "1") or 1),
        )

    def _keep(self, asked: Asked) -> None:
        from roomcheck.measure import keep_anyway

        known = self.takes.of(asked.folder, asked.visit)[0]
        if asked.form.get("take", "") in [take.take for take in known]:
            keep_anyway(load_job(asked.folder), asked.form["take"])

    def _aside(self, asked: Asked) -> None:
        from roomcheck.measure import find_take, set_aside

        job = load_job(asked.folder)
        set_aside(job, find_take(job, asked.form.get("take", "")))

    def _back(self, asked: Asked) -> None:
        from roomcheck.page.places.uploads import put_back_asking

        sure = asked.form.get("sure") == "on"
        put_back_asking(load_job(asked.folder), asked.form.get("take", ""), sure=sure)

    def _conditions(self, asked: Asked) -> None:
        from roomcheck.page.places.conditions import set_conditions

        set_conditions(load_job(asked.folder), asked.visit, asked.form)

    async def add(self, request: Request) -> Response:
        """Bring a recording in."""
        from roomcheck.page.places.uploads import Upload, take_in

        name, folder = self.host.name_and_folder(request)
        length = request.headers.get("content-length", "")
        if not length.isdecimal() or int(length) > MOST_BYTES:
            raise RoomcheckError("a recording of more than 1 GiB is not taken; cut it first")
        visit = visit_of(request)
        async with request.form(max_files=2, max_fields=20) as form:
            values = {key: value for key, value in form.items() if isinstance(value, str)}
            with tempfile.TemporaryDirectory() as draft:
                path = await saved_upload(form.get("recording"), Path(draft))
                if path is None:
                    raise RoomcheckError("choose a recording first")
                sweep = await saved_upload(form.get("sweep"), Path(draft) / "played")
                upload = Upload(path, sweep, values)
                said = Saying(time.monotonic, began_s=time.monotonic())
                on_part = partial(self._told, name, said)
                became = await run_in_threadpool(take_in, folder, visit, upload, on_part)
        return self._done(request, {"became": became})

    def _told(self, name: str, said: Saying, done: int, of: int) -> None:
        """Tell every window of a job how much of a long recording is listened to."""
        from roomcheck.chain import Activity, Progress

        text = said.of(Progress(kind=Activity.READ, done=done, of=of))
        self.host.live.tell(name, {"adding": text, "share": done / of})


_ACTS = (
    *("take", "level", "noise", "calibrator", "answer", "stop"),
    *("devices", "keep", "aside", "back", "conditions"),
)


def device(text: str) -> int | str | None:
    """A device's number or name; None for the system's own."""
    stripped = text.strip()
    if stripped.isascii() and stripped.isdecimal():
        return int(stripped)
    return stripped or None


def devices_listed() -> tuple[object, ...]:
    from roomcheck.measure import list_devices

    return list_devices()
