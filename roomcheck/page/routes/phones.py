"""Telephones: the code to come in by, who is connected, what each place lets them do, and their
end; and the name that a browser's ticks and hours go by."""

from __future__ import annotations

from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from roomcheck.errors import RoomcheckError
from roomcheck.page.routes.asked import fields, is_phone, visitor_of, wants_part
from roomcheck.page.routes.host import Host

LONGEST_NAME = 40


@dataclass(frozen=True)
class PhonesRoutes:
    """Who else may come in."""

    host: Host

    def routes(self) -> list[Route]:
        return [
            Route("/phones", self.phones),
            Route("/phones/end", self.end, methods=["POST"]),
            Route("/name", self.name, methods=["POST"]),
        ]

    def phones(self, request: Request) -> Response:
        """Who is connected: for this computer, so no telephone sees the code."""
        if is_phone(request):
            return self.host.nothing(request)
        keys = self.host.keys
        return self.host.show(
            "phones.html",
            code=self.host.code(),
            address=self.host.phone_address(),
            fingerprint=self.host.fingerprint,
            connected=sorted(keys.phones.values(), key=lambda one: one.number),
        )

    async def end(self, request: Request) -> Response:
        """Send one telephone away, or all of them."""
        number = (await fields(request)).get("number", "")
        if number.isascii() and number.isdecimal():
            self.host.keys.end_phone(int(number))
        else:
            self.host.keys.end_phones()
        return RedirectResponse("/phones", 303)

    async def name(self, request: Request) -> Response:
        """Who works with this browser."""
        form = await fields(request)
        name = " ".join(form.get("name", "").split())
        if len(name) > LONGEST_NAME or not name.isprintable():
            raise RoomcheckError(f"a name of {LONGEST_NAME} letters at most, please")
        visitor_of(request).name = name
        if wants_part(request):
            return JSONResponse({"became": f"Ticks and hours from here are {name or 'unnamed'}'s."})
        back = form.get("back", "")
        return RedirectResponse(back if back.startswith("/job/") else "/", 303)
