"""The application: the routes of every place behind the guard."""

from __future__ import annotations

import contextlib
import importlib
import threading
from collections.abc import AsyncIterator
from dataclasses import dataclass
from pathlib import Path

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from roomcheck.errors import RoomcheckError
from roomcheck.page.base.guard import Guard
from roomcheck.page.routes.findings import FindingsRoutes
from roomcheck.page.routes.host import JOB, Host, Place
from roomcheck.page.routes.jobs import JobsRoutes
from roomcheck.page.routes.making import MakingRoutes
from roomcheck.page.routes.offer import OfferRoutes
from roomcheck.page.routes.phones import PhonesRoutes
from roomcheck.page.routes.photo import PhotoRoutes
from roomcheck.page.routes.plan import PlanRoutes
from roomcheck.page.routes.proof import ProofRoutes
from roomcheck.page.routes.room import RoomRoutes, SpaceRoutes
from roomcheck.page.routes.visit import VisitRoutes

_HERE = Path(__file__).parent


@dataclass
class Server(Host):
    """One `roomcheck open`, with all its places."""

    def __post_init__(self) -> None:
        super().__post_init__()
        self.visits = VisitRoutes(self)
        self.plans = PlanRoutes(self)
        self.places: tuple[Place, ...] = (
            JobsRoutes(self),
            PhonesRoutes(self),
            RoomRoutes(self),
            self.visits,
            FindingsRoutes(self),
            self.plans,
            OfferRoutes(self, self.plans),
            MakingRoutes(self),
            ProofRoutes(self),
            SpaceRoutes(self),
            PhotoRoutes(self),
        )

    def app(self, hosts: frozenset[str] = frozenset(), *, phones: bool = False) -> Starlette:
        """The application behind its guard: for this computer, or for telephones under the names
        `hosts`."""
        routes = [route for place in self.places for route in place.routes()]
        app = Starlette(
            routes=[
                *routes,
                Route(f"{JOB}/events", self.events),
                Mount("/static", StaticFiles(directory=_HERE / "static"), name="static"),
            ],
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
        self.visits.recorder.stop()
        self.works.end_all()
        self.plans.end()

    async def events(self, request: Request) -> Response:
        """What happens to a job, as it happens."""
        events = self.live.listen(*self.name_and_folder(request))
        return StreamingResponse(events, media_type="text/event-stream")


def preload() -> None:
    """Import what the places need."""
    for place in ("findings", "recorder", "visit", "conditions", "space", "owner"):
        importlib.import_module(f"roomcheck.page.places.{place}")
    for part in ("photo", "pictures", "forms"):
        importlib.import_module(f"roomcheck.page.photos.{part}")
    for part in ("plan", "drawing", "planner"):
        importlib.import_module(f"roomcheck.page.planning.{part}")
    for part in ("shop", "hanging"):
        importlib.import_module(f"roomcheck.page.making.{part}")
    importlib.import_module("roomcheck.page.client.offer")
