"""Whether the promise is kept, and what the shop's file learns from it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from roomcheck.job import load_job
from roomcheck.page.base.live import stamp
from roomcheck.page.base.work import How, Task
from roomcheck.page.routes.asked import fields, home_of, wants_part
from roomcheck.page.routes.findings import documents_of
from roomcheck.page.routes.host import JOB, Host

CERTIFICATE = "before-and-after"
TASKS_ASKED: Mapping[str, Task] = {"judge": "proof", "learn": "lesson", "certificate": "documents"}
"""What a button sets off, by its address."""


@dataclass(frozen=True)
class ProofRoutes:
    """The page of the proof, and every change of it."""

    host: Host

    def routes(self) -> list[Route]:
        return [
            Route(f"{JOB}/proof", self.proof),
            Route(f"{JOB}/proof/{{what}}", self.change, methods=["POST"]),
            Route(f"{JOB}/listening/{{level}}/{{file}}", self.sound),
            Route("/player.js", self.script),
        ]

    def proof(self, request: Request) -> Response:
        from roomcheck.chain import open_job
        from roomcheck.page.client.proof import proof_page

        name, folder = self.host.name_and_folder(request)
        chain = open_job(folder)
        asked, home = ("proof", name), home_of(name)
        page = self.host.memory.of(asked, folder, lambda: proof_page(chain, home))
        works = self.host.works
        problem = works.problems.get(f"{name} proof", "")
        ready = page.signed and page.recorded and page.noted
        if ready and not page.judged and not problem and works.doing(name) is None:
            works.start(name, folder, "proof")
        papers = [path for path in documents_of(folder) if path.stem == CERTIFICATE]
        return self.host.show_place(
            request,
            "proof",
            chain.job,
            page=page,
            doing=works.doing(name),
            problem=problem,
            lesson_problem=works.problems.get(f"{name} lesson", ""),
            papers=papers,
        )

    async def change(self, request: Request) -> Response:
        """One change of the second visit, one piece of work, or a lesson."""
        form = await fields(request)
        return await run_in_threadpool(self._change, request, form)

    def _change(self, request: Request, form: Mapping[str, str]) -> Response:
        name, folder = self.host.name_and_folder(request)
        what = request.path_params["what"]
        if what in TASKS_ASKED:
            how = How(anyway=form.get("anyway") == "on")
            self.host.works.start(name, folder, TASKS_ASKED[what], how)
        elif what in ("air", "furniture", "teach", "unteach"):
            _changed(folder, what, form)
            self.host.live.tell(name, {"changed": stamp(folder), "takes": True})
        else:
            return self.host.nothing(request)
        if wants_part(request):
            return JSONResponse({"started": what})
        return RedirectResponse(f"{home_of(name)}/proof", 303)

    def sound(self, request: Request) -> Response:
        """One of the job's files to listen to, by its name in the list, never by a path."""
        _, folder = self.host.name_and_folder(request)
        sounds = folder / "documents" / "listening"
        listed = {(path.parent.name, path.name): path for path in sounds.glob("*/*.wav")}
        path = listed.get((request.path_params["level"], request.path_params["file"]))
        return self.host.nothing(request) if path is None else FileResponse(path)

    def script(self, _request: Request) -> Response:
        """The player's script, which documents carry inside themselves."""
        from roomcheck.report import player_script

        return Response(player_script(), media_type="text/javascript")


def _changed(folder: Path, what: str, form: Mapping[str, str]) -> None:
    from roomcheck.chain import open_job
    from roomcheck.page.client import proof

    if what == "teach":
        proof.teach(open_job(folder))
    elif what == "unteach":
        proof.unteach(open_job(folder))
    elif what == "air":
        proof.air_of_today(load_job(folder), form)
    else:
        proof.stood_there(folder, load_job(folder), form)
