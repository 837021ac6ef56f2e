"""What every place of the page needs: the folder, the keys, the windows that listen, the work under
way, the templates."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import quote

import jinja2
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route

import roomcheck
from roomcheck.job import Job, can_undo, load_job
from roomcheck.page.base.folder import Folder, NotHere
from roomcheck.page.base.guard import Keys
from roomcheck.page.base.live import Live, stamp
from roomcheck.page.base.memory import Memory
from roomcheck.page.base.work import Works
from roomcheck.page.places.jobs import next_step
from roomcheck.page.routes.asked import back_of, home_of, is_phone, wants_part, who_asks

_PAGE = Path(__file__).parents[1]
JOB = "/job/{name}"
"""The address of a job; those of its places follow it."""


class Place(Protocol):
    """The routes of one place."""

    def routes(self) -> list[Route]: ...


@dataclass
class Host:
    """What one `roomcheck open` holds."""

    folder: Folder
    keys: Keys
    live: Live = field(default_factory=Live)
    phone_root: str = ""
    """Where telephones find this computer: "https://192.168.1.7:41234"."""
    fingerprint: str = ""
    """Of the certificate that telephones are shown."""

    def __post_init__(self) -> None:
        self.works = Works(tell=self.live.tell)
        self.memory = Memory()
        self.templates = jinja2.Environment(
            loader=jinja2.FileSystemLoader(_PAGE / "templates"),
            autoescape=True,
            undefined=jinja2.StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )

    def name_and_folder(self, request: Request) -> tuple[str, Path]:
        """The job that a request is about."""
        name = request.path_params["name"]
        return name, self.folder.of(name)

    def job(self, request: Request) -> Job:
        return load_job(self.name_and_folder(request)[1])

    def show(self, template: str, status: int = 200, **values: Any) -> HTMLResponse:
        """A page from a template."""
        page = self.templates.get_template(template)
        common = {
            "version": roomcheck.__version__,
            "single": self.folder.single,
            "by_phone": bool(self.phone_root),
            "quoted": lambda text: quote(str(text), safe=""),
            "drawn": Markup,
        }
        return HTMLResponse(page.render(**common, **values), status)

    def show_place(
        self, request: Request, place: str, job: Job, status: int = 200, **values: Any
    ) -> HTMLResponse:
        """The page of a place of a job, from the template of its name."""
        name = request.path_params["name"]
        next_place, next_words = next_step(job)
        common = {
            "name": name,
            "job": job,
            "place": place,
            "here": home_of(name),
            "stamp": stamp(job.folder),
            "undo": can_undo(job.folder),
            "next_place": next_place,
            "next_words": next_words,
            "phone": is_phone(request),
            "who": who_asks(request),
        }
        return self.show(f"{place}.html", status, **common, **values)

    def problem(self, request: Request, problem: Exception) -> Response:
        """What a person can put right, in the words of the commands."""
        status = 404 if isinstance(problem, NotHere) else 409
        if wants_part(request):
            return JSONResponse({"problem": str(problem)}, status)
        return self.show("problem.html", status, problem=str(problem), back=back_of(request))

    def nothing(self, request: Request, _problem: Exception | None = None) -> Response:
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
