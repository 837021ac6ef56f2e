"""The plans, and the signature under one of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from roomcheck.errors import RoomcheckError
from roomcheck.page.routes.asked import fields, home_of
from roomcheck.page.routes.host import JOB, Host


@dataclass
class PlanRoutes:
    """Plans side by side, one of them on the walls, its price, and the signature."""

    host: Host

    def routes(self) -> list[Route]:
        return [
            Route(f"{JOB}/plan", self.plan),
            Route(f"{JOB}/plan/sign", self.sign, methods=["POST"]),
        ]

    def plan(self, request: Request) -> Response:
        from roomcheck.chain import open_job
        from roomcheck.page.places.plan import plan_page

        name, folder = self.host.name_and_folder(request)
        chain = open_job(folder)
        number = request.query_params.get("plan", "")
        page = self.host.memory.of(("plan", name, number), folder, lambda: plan_page(chain, number))
        works = self.host.works
        problem = works.problems.get(f"{name} plans", "")
        has_takes = chain.has_takes("before")
        if not page.ready and has_takes and not problem:
            works.start(name, folder, "plans")
        return self.host.show_place(
            request,
            "plan",
            chain.job,
            page=page,
            has_takes=has_takes,
            doing=works.doing(name),
            problem=problem,
        )

    async def sign(self, request: Request) -> Response:
        form = await fields(request)
        return await run_in_threadpool(self._sign, request, form)

    def _sign(self, request: Request, form: Mapping[str, str]) -> Response:
        """Keep what the client accepts, once."""
        from roomcheck.chain import open_job

        name, folder = self.host.name_and_folder(request)
        number, who = form.get("plan", ""), form.get("name", "").strip()
        if not who or form.get("sure") != "on" or not number.isdecimal():
            raise RoomcheckError("a name is needed, and the tick that it was accepted today")
        open_job(folder, int(number)).sign(who, date.today().isoformat())
        return RedirectResponse(f"{home_of(name)}/plan", 303)
