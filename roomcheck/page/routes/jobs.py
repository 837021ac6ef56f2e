"""The list of jobs, and a new one."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from roomcheck.errors import RoomcheckError
from roomcheck.page.base.memory import state_of
from roomcheck.page.base.work import ALL_JOBS
from roomcheck.page.places.jobs import NewJobMistakes, listed, make_job, next_step
from roomcheck.page.routes.asked import fields, home_of, is_phone
from roomcheck.page.routes.host import JOB, Host
from roomcheck.standards import USES


@dataclass(frozen=True)
class JobsRoutes:
    """Where one begins."""

    host: Host
    tried: list[object] = field(default_factory=list)
    """The state of all jobs when one plan over them was worked out last."""

    def routes(self) -> list[Route]:
        return [
            Route("/", self.jobs),
            Route("/shop", self.shop),
            Route("/new", self.new, methods=["POST"]),
            Route(JOB, self.job),
        ]

    def jobs(self, request: Request) -> Response:
        if self.host.folder.single:
            return RedirectResponse(home_of(self.host.folder.path.name), 303)
        return self._jobs({}, {}, owner=not is_phone(request))

    def shop(self, request: Request) -> Response:
        """All jobs on one screen, with their money: for the owner, so no telephone sees it."""
        if is_phone(request):
            return self.host.nothing(request)
        from roomcheck.page.places.owner import owner_page

        folder = self.host.folder
        page = owner_page(folder, self.host.memory, datetime.date.today())
        works = self.host.works
        problem = works.problems.get(f"{ALL_JOBS} all-jobs", "")
        if page.waits and not problem and works.doing(ALL_JOBS) is None:
            state = [state_of(folder.of(name)) for name in folder.names()]
            if self.tried[-1:] == [state]:
                problem = "it was worked out and could not be kept; can the folder be written?"
            else:
                self.tried[:] = [state]
                works.start(ALL_JOBS, folder.path, "all-jobs")
        return self.host.show("owner.html", page=page, problem=problem, title=folder.path.name)

    def _jobs(
        self, form: Mapping[str, str], problems: Mapping[str, str], *, owner: bool = True
    ) -> Response:
        return self.host.show(
            "jobs.html",
            422 if problems else 200,
            jobs=listed(self.host.folder),
            uses=USES,
            form=form,
            problems=problems,
            owner=owner,
            title=self.host.folder.path.name,
        )

    async def new(self, request: Request) -> Response:
        form = await fields(request)
        if self.host.folder.single:
            raise RoomcheckError(
                "this folder is a job itself; open the folder above to begin another"
            )
        try:
            name = await run_in_threadpool(make_job, self.host.folder.path, form)
        except NewJobMistakes as problem:
            return await run_in_threadpool(self._jobs, form, problem.problems)
        return RedirectResponse(f"{home_of(name)}/room", 303)

    def job(self, request: Request) -> Response:
        place, _ = next_step(self.host.job(request))
        return RedirectResponse(f"{home_of(request.path_params['name'])}/{place}", 303)
