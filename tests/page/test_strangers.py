"""Who gets nothing: everybody without the key, from another origin, under another name."""

from __future__ import annotations

import http.client
import socket
import time

import pytest

from roomcheck.page.base.folder import Folder
from roomcheck.page.base.guard import Keys
from roomcheck.page.server import Server

from .conftest import make_room, opened

STRANGER_TIMES = 200


@pytest.fixture(scope="module")
def jobs(tmp_path_factory):
    folder = tmp_path_factory.mktemp("jobs")
    make_room(folder / "room-a", places=False)
    return folder


@pytest.fixture(scope="module")
def server(jobs):
    with opened(jobs) as server:
        yield server


@pytest.fixture(scope="module")
def cookie(server):
    answer = ask(server, "GET", f"/key/{server.key}")
    assert answer.status == 303
    return answer.getheader("set-cookie").partition(";")[0]


def ask(server, method, path, *, headers=None, body=None, host=None):
    """One request, exactly as given; the answer with its body read."""
    line = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
    line.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
    line.putheader("Host", host or f"127.0.0.1:{server.port}")
    for name, value in (headers or {}).items():
        line.putheader(name, value)
    if body is not None:
        line.putheader("Content-Length", str(len(body)))
    line.endheaders(body)
    answer = line.getresponse()
    answer.text = answer.read()
    line.close()
    return answer


def paths():
    """An address for every route there is, made from the routes themselves."""
    app = Server(Folder.__new__(Folder), Keys(port=1)).app()
    fill = {"{name}": "room-a", "{what}": "set", "{task}": "documents", "{file}": "proposal.pdf"}
    fill |= {"{level}": "equally-loud"}
    for route in app.routes:
        path = route.path
        for part, value in fill.items():
            path = path.replace(part, value)
        for method in sorted(getattr(route, "methods", None) or {"GET"}):
            yield method, path + ("/page.css" if path == "/static" else "")


@pytest.mark.parametrize(("method", "path"), sorted(paths()))
def test_every_address_refuses_strangers(server, cookie, method, path):
    body = b"way=room.height&value=9+ft" if method == "POST" else None
    own = {"Cookie": cookie, "Origin": server.root}
    evil = "http://evil.example"
    for headers, host in (
        ({}, None),
        ({"Cookie": "roomcheck-1=x"}, None),
        ({"Cookie": cookie.replace("=", "=x")}, None),
        (own, "evil.example"),
        (own, f"evil.example:{server.port}"),
        (own, "127.0.0.1"),
        (own | {"Sec-Fetch-Site": "cross-site"}, None),
    ):
        answer = ask(server, method, path, headers=headers, host=host, body=body)
        assert (answer.status, answer.text) == (403, b""), (headers, host)
    if method == "POST":
        for headers in ({"Cookie": cookie}, {"Cookie": cookie, "Origin": evil}):
            answer = ask(server, method, path, headers=headers, body=body)
            assert (answer.status, answer.text) == (403, b""), headers
    for other in ("PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"):
        assert ask(server, other, path, headers=own).status in (403, 405)


def test_the_owner_is_answered_with_the_policy_on_every_page(server, cookie):
    for path in ("/", "/job/room-a/room", "/job/room-a/visit", "/static/page.css"):
        answer = ask(server, "GET", path, headers={"Cookie": cookie})
        assert answer.status == 200, path
        policy = answer.getheader("content-security-policy")
        assert "default-src 'none'" in policy
        assert "'unsafe-inline'" not in policy.partition("style-src-attr")[0]
        assert "frame-ancestors 'self'" in policy
        assert answer.getheader("x-content-type-options") == "nosniff"
        assert answer.getheader("referrer-policy") == "no-referrer"


def test_paths_lead_nowhere_but_to_the_list(server, cookie):
    for path in (
        "/job/..%2f..%2fetc/room",
        "/job/../room",
        "/job/room-a%2f..%2froom-a/room",
        "/job/.%00/room",
        "/job/room-a/documents/..%2fjob.toml",
        "/job/room-a/documents/job.toml",
        "/static/..%2f..%2fserver.py",
        "/static/../server.py",
        "/static/%2e%2e/%2e%2e/__init__.py",
    ):
        answer = ask(server, "GET", path, headers={"Cookie": cookie})
        assert answer.status in (403, 404), path
        assert b"schema" not in answer.text, path


def test_the_launch_key_works_once():
    keys = Keys(port=1)
    launch = keys.launch
    assert launch is not None
    assert keys.exchange(launch)
    assert keys.exchange(launch) is None
    assert keys.exchange(keys.address)
    assert keys.exchange(keys.address)
    assert keys.exchange("") is None


def test_a_recording_that_is_too_large_is_refused_before_it_is_read(server, cookie):
    line = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
    line.putrequest("POST", "/job/room-a/visit/add?visit=before")
    for name, value in (
        ("Cookie", cookie),
        ("Origin", server.root),
        ("X-Part", "1"),
        ("Content-Type", "multipart/form-data; boundary=x"),
        ("Content-Length", str(2 * 2**30)),
    ):
        line.putheader(name, value)
    line.endheaders()
    answer = line.getresponse()
    assert answer.status == 409
    assert b"1 GiB" in answer.read()
    line.close()


def test_silent_strangers_do_not_keep_the_owner_out(server, cookie):
    lines = [socket.create_connection(("127.0.0.1", server.port)) for _ in range(STRANGER_TIMES)]
    try:
        for line in lines[::2]:
            line.sendall(b"GET / HTTP/1.1\r\nHost: 127")  # and never the rest
        began = time.process_time()
        answer = ask(server, "GET", "/job/room-a/room", headers={"Cookie": cookie})
        assert answer.status == 200
        assert time.process_time() - began < 5
    finally:
        for line in lines:
            line.close()


def test_a_port_that_is_taken_and_a_folder_that_is_none_say_so(server, tmp_path):
    from roomcheck.cli import main

    assert main(["open", str(tmp_path / "nothing"), "--no-browser"]) == 2
    assert main(["open", str(tmp_path), "--no-browser", "--port", str(server.port)]) == 2
