"""The same job through the page and through the commands: the same files, but for times."""

from __future__ import annotations

import shutil
import time
from urllib.parse import urlencode

import pytest

from roomcheck.chain import open_job
from roomcheck.cli import main

from .conftest import opened
from .test_strangers import ask


class Hand:
    """Somebody at the page, whose every form is sent as a browser without scripts sends it."""

    def __init__(self, server):
        answer = ask(server, "GET", f"/key/{server.key}")
        self.server = server
        self.own = {
            "Cookie": answer.getheader("set-cookie").partition(";")[0],
            "Origin": server.root,
            "Content-Type": "application/x-www-form-urlencoded",
        }

    def send(self, address, **form):
        answer = ask(self.server, "POST", address, headers=self.own, body=urlencode(form).encode())
        assert answer.status == 303, answer.text.decode()[-900:]

    def see(self, address):
        answer = ask(self.server, "GET", address, headers=self.own)
        assert answer.status == 200
        return answer.text.decode()


def files(folder):
    """Every file of a job that is no result and no history, by its name."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
        and path.relative_to(folder).parts[0] not in ("results", "history", ".roomcheck-lock")
    }


def assert_same(one, other):
    first, second = files(one), files(other)
    assert sorted(first) == sorted(second)
    for name, data in first.items():
        assert data == second[name], name


def test_a_new_job_is_the_same_by_the_page_and_by_commands(tmp_path, capsys):
    page, told = tmp_path / "page", tmp_path / "told"
    page.mkdir()
    sizes = {"length": "4.4 m", "width": "3.6 m", "height": "2.6 m"}
    values = {
        "budget": "4200",
        "room.height": "2.7 m",
        "room.materials.floor": "parquet on concrete",
        "client.address": "3 Harbour Street",
    }
    with opened(page) as server:
        hand = Hand(server)
        form = {"title": "Front room", "client": "Client A", "use": "podcast room"}
        hand.send("/new", **form, **sizes, complaint="It booms.")
        for way, value in values.items():
            place = "offer/words" if way == "client.address" else "room/set"
            hand.send(f"/job/front-room/{place}", way=way, value=value)
    told.mkdir()
    folder = str(told / "front-room")
    command = ["new", folder, "--title", "Front room", "--client", "Client A"]
    command += ["--use", "podcast room", "--complaint", "It booms."]
    for name, value in sizes.items():
        command += [f"--{name}", value]
    assert main(command) == 0
    for way, value in values.items():
        assert main(["set", folder, way, value]) == 0
    capsys.readouterr()
    assert_same(page / "front-room", told / "front-room")


@pytest.fixture
def both(planned, tmp_path):
    """The same job twice, in folders of the same name."""
    folders = tmp_path / "page" / "room-a", tmp_path / "told" / "room-a"
    for folder in folders:
        shutil.copytree(planned, folder)
    return folders


def test_signed_changed_and_billed_it_is_the_same_by_the_page_and_by_commands(both, capsys):
    page, told = both
    with opened(page.parent) as server:
        hand, home = Hand(server), "/job/room-a"
        hand.send(f"{home}/offer/words", way="offer.number", value="2026-014", plan="2")
        total = str(open_job(page).quote.total)
        hand.send(f"{home}/offer/sign", plan="2", name="Client A", sure="on", total=total)
        change = {"text": "A shelf moved", "act": "none", "cost": "70", "days": "2"}
        change |= {"name": "Client A", "sure": "on"}
        hand.send(f"{home}/offer/sign-change", **change, total="100.00")  # 70 at a margin of 30 %
        bill = {"number": "2026-014", "step": "deposit", "paid": "100", "order": "PO-17"}
        hand.send(f"{home}/offer/invoice", **bill)
        hand.send(f"{home}/offer/credit", number="2026-015", against="2026-014", amount="50")
        after = hand.see(f"{home}/offer")
        for _ in range(600):
            if (page / "documents" / "proposal.html").is_file():
                break
            time.sleep(0.1)
    assert "A shelf moved" in after and "2026-015" in after
    folder = str(told)
    by = ["--sign", "Client A"]
    deposit = ["--milestone", "deposit", "--paid", "100", "--order", "PO-17"]
    for command in (
        ["set", folder, "offer.number", "2026-014"],
        ["quote", folder, "--plan", "2", *by],
        ["quote", folder, "--change", "A shelf moved", "--cost", "70", "--days", "2", *by],
        ["quote", folder, "--invoice", "2026-014", *deposit],
        ["quote", folder, "--credit", "2026-015", "--against", "2026-014", "--amount", "50"],
        ["report", folder, "--only", "proposal", "--only", "quote"],
    ):
        assert main(command) == 0, capsys.readouterr().err
    capsys.readouterr()
    assert_same(page, told)
