"""The room in space, for every page that shows it."""

from __future__ import annotations

from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from roomcheck.page.routes.host import JOB, Host


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
