"""What a request says: its form, its files, whose browser it came from."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request

from roomcheck.errors import RoomcheckError
from roomcheck.page.base.guard import Visitor

VISITS = ("before", "after")


def is_phone(request: Request) -> bool:
    """Whether a telephone asks, which may do less."""
    return bool(request.scope.get("state", {}).get("phone", False))


def visitor_of(request: Request) -> Visitor:
    """The browser that asks."""
    found = request.scope.get("state", {}).get("visitor")
    return found if isinstance(found, Visitor) else Visitor(number=0)


def who_asks(request: Request) -> str:
    """Whose ticks, hours and findings this browser's are; "" on this computer while nobody said."""
    visitor = visitor_of(request)
    return visitor.who if is_phone(request) else visitor.name


def wants_part(request: Request) -> bool:
    """Whether the page's own script asks, which puts parts in place by itself."""
    return request.headers.get("x-part") == "1"


def home_of(name: str) -> str:
    """The address of a job."""
    return f"/job/{quote(name, safe='')}"


PLACES = ("room", "visit", "findings", "plan", "offer", "proof")
"""Those that have a page to go back to."""


def back_of(request: Request) -> str:
    """The page that a request came from: its place's, else the room's."""
    name = request.path_params.get("name") if hasattr(request, "path_params") else None
    if not name:
        return "/"
    rest = request.url.path.split("/")[3:]
    place = rest[0] if rest and rest[0] in PLACES else "room"
    return f"{home_of(name)}/{place}"


def visit_of(request: Request) -> str:
    """The visit that the address names; before the work where it names none."""
    text = request.query_params.get("visit", "before")
    if text not in VISITS:
        raise RoomcheckError(f"{text!r} is no visit; it is before or after")
    return text


async def fields(request: Request) -> dict[str, str]:
    """A form's texts."""
    async with request.form(max_files=0, max_fields=500, max_part_size=2**16) as form:
        return {key: value for key, value in form.items() if isinstance(value, str)}


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
