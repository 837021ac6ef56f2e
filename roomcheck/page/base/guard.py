"""Who may ask: this computer's own browser with a key, and nobody else.

A key from the address becomes a cookie on first use. Whatever lacks the cookie, comes under another
host's name, or changes something without coming from this page gets 403 and nothing else.
"""

from __future__ import annotations

import hmac
import re
import secrets
from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from hashlib import sha256

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
SAFE = ("GET", "HEAD")

PHONE_ACTS: dict[str, tuple[str, ...]] = {
    "visit": ("take", "answer", "stop"),
    "shop": ("tick", "start", "stop", "hours", "back"),
    "hanging": ("tick", "found", "photo"),
    "photo": ("add", "mark", "enter"),
}
"""What a telephone may set off at each place: a take, an answer, an end; a tick, hours; what was
found behind a wall; a photograph and what is measured on it. Nothing louder, no signature, no
money, and nothing that lifts a stop. Everything but the owner's screen it may read."""
PHONE_MAY = re.compile(
    "/name|/job/[^/]+/(?:"
    + "|".join(f"{place}/(?:{'|'.join(acts)})" for place, acts in PHONE_ACTS.items())
    + ")"
)


def paper_policy(script: str) -> str:
    """The policy of a document that is one page by itself, with its looks and sounds inside: it
    reaches nothing, and runs this script alone, as somebody else than the page that shows it."""
    digest = b64encode(sha256(script.encode()).digest()).decode("ascii")
    return (
        f"default-src 'none'; script-src 'sha256-{digest}'; style-src 'unsafe-inline'; "
        "img-src data:; media-src data:; connect-src data:; frame-ancestors 'self'; "
        "base-uri 'none'; form-action 'none'; sandbox allow-scripts"
    )


def new_key() -> str:
    return secrets.token_urlsafe(KEY_BYTES)


@dataclass
class Visitor:
    """A browser that came in."""

    number: int
    """From 1, in the order they came."""
    agent: str = ""
    """What its browser calls itself."""
    name: str = ""
    """Who works with it, as typed there."""
    since: str = ""
    """When it came."""
    seen: str = ""
    """When it asked last."""

    @property
    def kind(self) -> str:
        """What it is, as far as its browser says."""
        kinds = ("iPhone", "iPad", "Android", "Windows", "Macintosh", "Linux")
        return next((kind for kind in kinds if kind in self.agent), "a browser")

    @property
    def who(self) -> str:
        """Whose ticks and hours its own are: the name typed there, else what it is."""
        return self.name or f"telephone {self.number}"


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
    cookies: dict[str, Visitor] = field(default_factory=dict)
    phones: dict[str, Visitor] = field(default_factory=dict)
    """Telephones by their cookies: they may do less."""
    came: int = 0
    """How many telephones came so far."""

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
        self.cookies[cookie] = Visitor(number=0)
        return cookie

    def exchange_phone(self, key: str) -> str | None:
        """A fresh cookie for the telephones' key; None where the key is none."""
        if self.phone is None or not hmac.compare_digest(key.encode(), self.phone.encode()):
            return None
        cookie = new_key()
        self.came += 1
        self.phones[cookie] = Visitor(number=self.came, since=_now())
        return cookie

    def end_phones(self) -> None:
        """Send every telephone away; who scans the code anew may come again."""
        self.phones.clear()
        if self.phone is not None:
            self.phone = new_key()

    def end_phone(self, number: int) -> None:
        """Send one telephone away; the code is another one afterwards, so that it cannot come
        again by the old one."""
        self.phones = {c: one for c, one in self.phones.items() if one.number != number}
        if self.phone is not None:
            self.phone = new_key()

    def visitor(self, cookie: str) -> Visitor | None:
        """This computer's own browser; None for strangers."""
        return _among(cookie, self.cookies)

    def phone_visitor(self, cookie: str) -> Visitor | None:
        return _among(cookie, self.phones)


def _among(cookie: str, known: Mapping[str, Visitor]) -> Visitor | None:
    """Who has a cookie of those given out, found in the same time whichever it is."""
    same = [v for one, v in known.items() if hmac.compare_digest(cookie.encode(), one.encode())]
    return same[0] if same else None


def _now() -> str:
    return datetime.now().isoformat(sep=" ", timespec="seconds")


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
        keys = self.keys
        known = keys.phone_visitor(cookie) if self.phones else keys.visitor(cookie)
        if known is None:
            return Response(status_code=403)
        if self.phones and scope["method"] not in SAFE and not PHONE_MAY.fullmatch(path):
            return Response(status_code=403)
        if not self._same_origin(scope["method"], headers):
            return Response(status_code=403)
        scope.setdefault("state", {}).update(phone=self.phones, visitor=known)
        known.agent, known.seen = headers.get("user-agent", "")[:200], _now()
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
            if own is not None:  # a document's, which is a page by itself
                headers["Content-Security-Policy"] = own
        await send(message)

    return sending
