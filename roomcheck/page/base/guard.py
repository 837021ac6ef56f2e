"""Who may ask: this computer's own browser with a key, and nobody else.

A key from the address becomes a cookie on first use. Whatever lacks the cookie, comes under another
host's name, or changes something without coming from this page gets 403 and nothing else.
"""

from __future__ import annotations

import hmac
import re
import secrets
from dataclasses import dataclass, field

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import cookie_parser
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

KEY_BYTES = 24
"""192 bits from the system's source of chance."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; style-src-attr 'unsafe-inline'; "
    "img-src 'self' data:; media-src 'self'; connect-src 'self'; form-action 'self'; "
    "frame-src 'self'; frame-ancestors 'self'; base-uri 'none'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "SAMEORIGIN",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
PAPER_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; media-src data:; "
    "frame-ancestors 'self'; base-uri 'none'; form-action 'none'; sandbox"
)
"""Of a document that is one page by itself, with its looks inside: it may run and fetch nothing."""

SAFE = ("GET", "HEAD")

PHONE_MAY = re.compile(r"/job/[^/]+/(visit/(take|answer|stop)|photo/(add|mark|enter))")
"""What a telephone may set off: a take, an answer, an end; a photograph and what is measured on
it. Nothing louder, no money."""


def new_key() -> str:
    return secrets.token_urlsafe(KEY_BYTES)


@dataclass
class Keys:
    """The keys of one server's life."""

    port: int
    address: str = field(default_factory=new_key)
    """In the address that is printed: works as often as it is typed."""
    launch: str | None = field(default_factory=new_key)
    """In the address that the browser is opened with: works once."""
    phone: str | None = None
    """In the address that a telephone scans; None where none may come in."""
    cookies: set[str] = field(default_factory=set)
    phones: set[str] = field(default_factory=set)
    """Cookies of telephones, which may do less."""

    @property
    def cookie_name(self) -> str:
        """One name a port: browsers share cookies between the ports of a host."""
        return f"roomcheck-{self.port}"

    def exchange(self, key: str) -> str | None:
        """A fresh cookie for a key; None where the key is none."""
        if self.launch is not None and hmac.compare_digest(key.encode(), self.launch.encode()):
            self.launch = None
        elif not hmac.compare_digest(key.encode(), self.address.encode()):
            return None
        cookie = new_key()
        self.cookies.add(cookie)
        return cookie

    def exchange_phone(self, key: str) -> str | None:
        """A fresh cookie for the telephones' key; None where the key is none."""
        if self.phone is None or not hmac.compare_digest(key.encode(), self.phone.encode()):
            return None
        cookie = new_key()
        self.phones.add(cookie)
        return cookie

    def end_phones(self) -> None:
        """Send every telephone away; who scans the code anew may come again."""
        self.phones.clear()
        if self.phone is not None:
            self.phone = new_key()

    def knows(self, cookie: str) -> bool:
        return _among(cookie, self.cookies)

    def knows_phone(self, cookie: str) -> bool:
        return _among(cookie, self.phones)


def _among(cookie: str, known: set[str]) -> bool:
    """Whether a cookie is one of those given out, in the same time whichever it is."""
    same = [hmac.compare_digest(cookie.encode(), one.encode()) for one in known]
    return any(same)


class Guard:
    """Lets through what may pass; everything else is answered here."""

    def __init__(
        self, app: ASGIApp, *, keys: Keys, hosts: frozenset[str] = frozenset(), phones: bool = False
    ) -> None:
        self.app, self.keys, self.phones = app, keys, phones
        self.hosts = hosts or {f"127.0.0.1:{keys.port}", f"localhost:{keys.port}"}
        self.scheme = "https" if phones else "http"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        headers = Headers(scope=scope)
        answer = self._answer(scope, headers)
        if answer is not None:
            await answer(scope, receive, _with_headers(send))
            return
        await self.app(scope, receive, _with_headers(send))

    def _answer(self, scope: Scope, headers: Headers) -> Response | None:
        """What is said at the door; None where one may come in."""
        hosts = headers.getlist("host")
        if len(hosts) != 1 or hosts[0] not in self.hosts:
            return Response(status_code=403)
        path = str(scope["path"])
        if path.startswith("/key/") and scope["method"] in SAFE:
            return self._exchange(path.removeprefix("/key/"))
        cookie = cookie_parser(headers.get("cookie", "")).get(self.keys.cookie_name, "")
        known = self.keys.knows_phone(cookie) if self.phones else self.keys.knows(cookie)
        if not known:
            return Response(status_code=403)
        if self.phones and scope["method"] not in SAFE and not PHONE_MAY.fullmatch(path):
            return Response(status_code=403)
        scope.setdefault("state", {})["phone"] = self.phones
        if not self._same_origin(scope["method"], headers):
            return Response(status_code=403)
        return None

    def _exchange(self, key: str) -> Response:
        cookie = self.keys.exchange_phone(key) if self.phones else self.keys.exchange(key)
        if cookie is None:
            return Response(status_code=403)
        answer = RedirectResponse("/", status_code=303)
        answer.set_cookie(
            self.keys.cookie_name, cookie, httponly=True, samesite="strict", secure=self.phones
        )
        return answer

    def _same_origin(self, method: str, headers: Headers) -> bool:
        """Whether a request that changes something comes from this page itself."""
        site = headers.get("sec-fetch-site")
        if site in ("cross-site", "same-site"):
            return False
        if method in SAFE:
            return True
        if method != "POST":
            return False
        origin = headers.get("origin")
        if origin in (None, "null"):
            # A form sends "null" where pages give no referrer; the browser's own word counts then.
            return site == "same-origin"
        return origin in {f"{self.scheme}://{host}" for host in self.hosts}


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            own = headers.get("Content-Security-Policy")
            for name, value in HEADERS.items():
                headers[name] = value
            if own == PAPER_POLICY:
                headers["Content-Security-Policy"] = own
        await send(message)

    return sending
