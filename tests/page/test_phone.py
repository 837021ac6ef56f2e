"""A telephone in the same network: it may measure and stop, and change nothing else."""

from __future__ import annotations

import contextlib
import http.client
import os
import random
import re
import shutil
import ssl
import subprocess
import sys
import time
from decimal import Decimal
from pathlib import Path
from urllib.parse import urlencode

import pytest

from roomcheck.chain import open_job
from roomcheck.job import load_job, read_done, value_at
from roomcheck.page.base.certificate import local_address
from roomcheck.page.base.guard import Keys

from .conftest import TOP, make_room, opened, until

STORY = TOP / "roomcheck" / "demo" / "story-room"


@pytest.fixture
def folder(tmp_path):
    return make_room(tmp_path / "room-a")


@pytest.fixture
def phone(folder):
    """The server's process and what was printed."""
    if local_address() is None:
        pytest.skip("this machine is in no network")
    with by_phone(folder) as both:
        yield both


@contextlib.contextmanager
def by_phone(folder):
    """A server with a door for telephones, every key of it known; its process and what it said."""
    pytest.importorskip("cryptography")
    script = (
        "import sys; from roomcheck.page import serve as s; import roomcheck.page.server as r\n"
        "def tell(a, t):\n    print(t, flush=True); print('END', flush=True)\n"
        "import roomcheck.page.base.guard as g; g.new_key = lambda: 'k' * 32\n"
        "s.new_key = g.new_key\n"
        "s.serve(sys.argv[1], browser=False, phone=True, tell=tell)"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", script, str(folder)],
        env={**os.environ, "PYTHONPATH": str(TOP), "OPENBLAS_NUM_THREADS": "1"},
        stdout=subprocess.PIPE,
        text=True,
    )
    printed = []
    assert process.stdout is not None
    try:
        for line in process.stdout:
            if line.strip() == "END":
                break
            printed.append(line)
        yield process, "".join(printed)
    finally:
        process.kill()
        process.communicate()


def ports(pid):
    """Ports that a process listens at, from the system's own table."""
    found = subprocess.run(
        ["python3", "-c", PORTS, str(pid)], capture_output=True, text=True, check=True
    )
    return {address: int(port) for address, port in (x.split() for x in found.stdout.splitlines())}


PORTS = r"""
import os, pathlib, re, sys
nodes = set()
for held in pathlib.Path(f"/proc/{sys.argv[1]}/fd").iterdir():
    try:
        nodes |= set(re.findall(r"socket:\[(\d+)\]", os.readlink(held)))
    except FileNotFoundError:  # closed since it was listed
        pass
for line in open("/proc/net/tcp").read().splitlines()[1:]:
    part = line.split()
    if part[3] == "0A" and part[9] in nodes:
        ip, port = part[1].split(":")
        print(".".join(str(int(ip[i:i+2], 16)) for i in (6, 4, 2, 0)), int(port, 16))
"""


def tick_and_no_more(ask, cookie, folder):
    """What a telephone may do in the shop and at a wall."""
    for path in ("shop/learn", "hanging/clear", "hanging/back", "visit/keep", "plan/sign"):
        answer, text = ask("POST", f"/job/room-a/{path}", cookie, piece="2 in panel", of="1")
        assert (answer.status, text) == (403, b""), path
    for path in ("/phones", "/shop"):  # the code and the money are the owner's
        assert ask("GET", path, cookie)[0].status == 404, path
    assert ask("POST", "/phones/end", cookie)[0].status == 403
    answer, _ = ask("POST", "/job/room-a/shop/tick", cookie, list="buy", item="glue", on="1")
    assert answer.status == 200
    assert ask("POST", "/name", cookie, name="Kim")[0].status == 200
    answer, _ = ask("POST", "/job/room-a/shop/hours", cookie, what="x|frame", hours="1:30")
    assert answer.status == 200
    answer, _ = ask(
        "POST", "/job/room-a/hanging/found", cookie, face="north", what="cable", left="2 ft"
    )
    assert answer.status == 200
    done = read_done(folder)
    assert [(tick.item, tick.by) for tick in done.ticks] == [("glue", "telephone 1")]
    assert [(one.hours, one.by) for one in done.hours] == [(Decimal("1.50"), "Kim")]
    assert [one.by for one in load_job(folder).dangers_of("north")] == ["Kim"]


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc")
def test_a_telephone_may_measure_and_stop_and_nothing_else(phone, folder):
    process, printed = phone
    assert "play nothing louder" in printed
    fingerprint = re.search(r"([0-9A-F]{2}:){31}[0-9A-F]{2}", printed)
    assert fingerprint is not None
    address = local_address()
    port = ports(process.pid)[address]
    assert sorted(ports(process.pid)) == sorted(["127.0.0.1", address])
    host = f"{address}:{port}"
    found = ssl.get_server_certificate((address, port))
    import hashlib

    digest = hashlib.sha256(ssl.PEM_cert_to_DER_cert(found)).hexdigest().upper()
    assert digest == fingerprint[0].replace(":", "")

    def ask(method, path, cookie="", origin=f"https://{host}", **form):
        line = http.client.HTTPSConnection(
            address, port, context=ssl._create_unverified_context(), timeout=60
        )
        body = urlencode(form) if method == "POST" else None
        headers = {"Cookie": cookie, "Origin": origin, "X-Part": "1"}
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        line.request(method, path, body=body, headers=headers)
        answer = line.getresponse()
        text = answer.read()
        line.close()
        return answer, text

    refused, text = ask("GET", "/job/room-a/visit")
    assert (refused.status, text) == (403, b"")
    came, _ = ask("GET", "/key/" + "k" * 32)
    assert came.status == 303
    cookie = came.getheader("set-cookie")
    assert "secure" in cookie.lower()
    assert "httponly" in cookie.lower()
    cookie = cookie.partition(";")[0]
    shown, text = ask("GET", "/job/room-a/visit", cookie)
    assert shown.status == 200
    assert b"Record S1 to P1" in text
    answer, text = ask("POST", "/job/room-a/photo/mark", cookie, file="north.jpg")
    assert answer.status == 409 and b"no photograph" in text  # it may mark; there is none
    for path in (
        *("room/set", "room/undo", "visit/level", "visit/devices", "task/documents"),
        *("photo/people", "photo/aside"),
    ):
        answer, text = ask("POST", f"/job/room-a/{path}", cookie, way="room.height", value="9 ft")
        assert (answer.status, text) == (403, b""), path
    assert load_job(folder).room.height_m == pytest.approx(8 * 0.3048)
    tick_and_no_more(ask, cookie, folder)
    answer, _ = ask("POST", "/job/room-a/visit/stop?visit=before", cookie)
    assert answer.status == 200
    answer, _ = ask("POST", "/job/room-a/visit/stop?visit=before", cookie, origin="https://evil")
    assert answer.status == 403


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc")
def test_the_telephone_is_the_remote_of_the_bench(tmp_path, chromium):
    """The tablet at the bench shows the setting; the telephone in the hand ticks it; the computer
    sees who it is and sends it away."""
    if local_address() is None:
        pytest.skip("this machine is in no network")
    folder = Path(shutil.copytree(STORY, tmp_path / "room-a"))
    open_job(folder).sheet  # noqa: B018
    with by_phone(folder) as (process, printed):
        doors = ports(process.pid)
        here = re.search(r"(http://127\.0\.0\.1:\d+)/key/\S+", printed)
        assert here is not None
        own = chromium.new_context(viewport={"width": 1180, "height": 820}).new_page()
        own.goto(here[0])
        own.goto(f"{here[1]}/job/room-a/shop?list=cut")
        assert "setting 1 of" in own.inner_text(".ticket")
        small = {"width": 390, "height": 800}
        held = chromium.new_context(viewport=small, ignore_https_errors=True).new_page()
        root = f"https://{local_address()}:{doors[local_address()]}"
        held.goto(f"{root}/key/{'k' * 32}")
        held.goto(f"{root}/job/room-a/shop?list=cut")
        assert held.evaluate("isSecureContext")  # or its screen would not stay on
        held.get_by_role("button", name="Cut: next setting").click()
        until(own, "document.querySelector('.ticket').innerText.includes('setting 2 of')")
        held.goto(f"{root}/job/room-a/shop?list=hours")
        assert held.get_by_role("button", name="Yes, write").count() == 0
        held.goto(f"{root}/job/room-a/hanging?face=north")
        held.get_by_label("What is behind the wall at A6?").select_option("metal")
        held.get_by_role("button", name="Keep what was found").first.click()
        held.wait_for_selector("text=No hole", timeout=60_000)
        assert held.get_by_role("button", name="Keep what they say").count() == 0
        own.goto(f"{here[1]}/phones")
        assert "telephone 1" in own.inner_text("main")
        shown = own.inner_text(".fingerprint").strip()
        assert shown in printed
        own.get_by_role("button", name="Send telephone 1 away").click()
        own.wait_for_selector("text=Nobody yet")
        assert held.request.get(f"{root}/job/room-a/shop").status == 403
        for page in (own, held):
            page.context.close()
    assert [tick.by for tick in read_done(folder).ticks] == ["telephone 1"]


def test_each_telephone_is_listed_and_sent_away_alone():
    keys = Keys(port=1, phone="a" * 32)
    first, second = keys.exchange_phone("a" * 32), keys.exchange_phone("a" * 32)
    assert [one.who for one in keys.phones.values()] == ["telephone 1", "telephone 2"]
    keys.end_phone(1)
    assert keys.phone_visitor(first) is None
    assert keys.phone_visitor(second).number == 2
    assert keys.exchange_phone("a" * 32) is None  # the code that was photographed is no longer one
    third = keys.exchange_phone(keys.phone)
    assert keys.phone_visitor(third).number == 3
    keys.end_phones()
    assert keys.phone_visitor(second) is None
    assert keys.visitor(third) is None


def test_kills_at_random_moments_leave_a_job_that_loads(folder):
    chance = random.Random(11)
    kills = int(os.environ.get("ROOMCHECK_KILLS", "6"))
    tried = {"8 ft"}
    for number in range(kills):
        with opened(folder) as server:
            line = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
            line.request("GET", f"/key/{server.key}")
            answer = line.getresponse()
            answer.read()
            headers = {
                "Cookie": answer.getheader("set-cookie").partition(";")[0],
                "Origin": server.root,
                "X-Part": "1",
                "Content-Type": "application/x-www-form-urlencoded",
            }
            until = time.monotonic() + chance.uniform(0.0, 0.6)
            while time.monotonic() < until:
                height = f"{chance.randint(90, 160)} in"
                tried.add(height)
                body = urlencode({"way": "room.height", "value": height})
                line.request("POST", "/job/room-a/room/set", body=body, headers=headers)
                line.getresponse().read()
            tried.add(f"{200 + number} in")
            body = urlencode({"way": "room.height", "value": f"{200 + number} in"})
            line.request("POST", "/job/room-a/room/set", body=body, headers=headers)
            server.process.kill()
            line.close()
        load_job(folder)
        assert value_at(folder, ("room", "height")) in tried
        assert not list(folder.glob(".job.toml.*.part")) or load_job(folder)
