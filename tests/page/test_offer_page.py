"""The offer: seen as the client sees it, ticked, worded, and signed once for just what was shown."""

from __future__ import annotations

import re
import shutil
import time
from decimal import Decimal
from urllib.parse import urlencode

import pytest

from roomcheck.chain import open_job
from roomcheck.job import load_job
from roomcheck.quote import Line
from roomcheck.typed import parse_signature

from .conftest import opened, until
from .test_strangers import ask


@pytest.fixture
def jobs(planned, tmp_path):
    shutil.copytree(planned, tmp_path / "jobs" / "room-a")
    return tmp_path / "jobs"


def amount(text):
    """The first amount of money in a text."""
    return Decimal(text.partition("$")[2].split(" ")[0].rstrip(":.").replace(",", ""))


def finger(window, points):
    """Draw with a finger, as a touch screen says it."""
    client = window.context.new_cdp_session(window)
    for kind, (x, y) in zip(
        ("touchStart", *["touchMove"] * (len(points) - 1)), points, strict=True
    ):
        client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})
    client.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def tick_an_option(window, sheet, before):
    """Offer an option, then take it; by hand: $70 at a margin of 30 % is $100, without tax here."""
    window.get_by_text("One more option").click()
    window.get_by_label("What it is, as the client reads it").fill("Felt on the backs")
    window.get_by_label("What it costs you, without tax").fill("70")
    window.get_by_role("button", name="Offer it").click()
    box = window.get_by_label("Felt on the backs: $100.00 more")
    box.wait_for()
    sheet.get_by_text("Felt on the backs: $100.00 more, tax included").wait_for()
    box.check()
    until(window, f"document.querySelector('.lead').textContent.includes('{before + 100:,.2f}')")
    sheet.get_by_text(f"{before + 100:,.2f}").first.wait_for()


def word_it(window, sheet, folder):
    """Change its first sentence in place, see it, take it back."""
    window.get_by_text("Change its words").click()
    window.get_by_label("First sentence").fill("Good to hear you again.")
    sheet.get_by_text("Good to hear you again.").wait_for()
    assert load_job(folder).shop.words.greeting == "Good to hear you again."
    window.get_by_role("button", name="Undo").click()
    until(window, "document.querySelector('#w-words-greeting').value === ''")
    assert load_job(folder).shop.words.greeting == ""


WAYS = [(0.1, 0.7), (0.2, 0.2), (0.3, 0.8), (0.5, 0.3), (0.9, 0.6)]
"""Where the finger goes, in shares of the field."""


def sign_with_a_finger(window):
    """Sign on a telephone's screen; return the path that the page keeps."""
    window.get_by_label("Name of the person who accepts it").fill("Client A")
    pad = window.locator("svg.pad")
    pad.scroll_into_view_if_needed()
    at = pad.bounding_box()
    points = [(at["x"] + x * at["width"], at["y"] + y * at["height"]) for x, y in WAYS]
    finger(window, points)
    drawn = window.locator("[data-sign] input").input_value()
    window.get_by_label("accepted today").check()
    window.get_by_role("button", name="Sign", exact=True).click()
    window.wait_for_selector("text=Signed by Client A")
    return drawn


def test_an_offer_is_ticked_worded_and_signed_with_a_finger(jobs, chromium):
    folder = jobs / "room-a"
    rates = load_job(folder).shop.rates
    assert (rates.margin_pct, rates.tax_pct) == (30, 0)
    window = chromium.new_context(viewport={"width": 1280, "height": 900}).new_page()
    small = chromium.new_context(
        viewport={"width": 390, "height": 800}, has_touch=True, is_mobile=True
    ).new_page()
    with opened(jobs) as server:
        for page in (window, small):
            page.set_default_timeout(60_000)
            page.goto(server.address)
        window.goto(f"{server.root}/job/room-a/offer")
        sheet = window.frame_locator("iframe.sheet")
        before = amount(window.locator("main .lead").inner_text())
        assert f"{before:,.2f}" in sheet.locator("main").inner_text()
        assert "over the budget" in window.inner_text("[data-part=caveats]")
        assert "planning prices" in window.inner_text("[data-part=caveats]")
        tick_an_option(window, sheet, before)
        word_it(window, sheet, folder)
        window.goto(f"{server.root}/job/room-a/plan")
        small.goto(f"{server.root}/job/room-a/offer")
        small.wait_for_selector("iframe.sheet")
        drawn = sign_with_a_finger(small)
        until(small, "document.querySelector('iframe.sheet') !== null", patience=900)
        shown = small.frame_locator("iframe.sheet").locator("main").inner_text()
        assert "Accepted by Client A on" in shown
        assert small.locator("figure.signed svg path").get_attribute("d") == drawn
    window.context.close()
    small.context.close()
    agreement = open_job(folder).agreement
    assert agreement.signed_by == "Client A"
    assert agreement.quote.total == before + 100
    extras = [line.item["name"] for line in agreement.quote.lines if line.item.kind is Line.EXTRA]
    assert extras == ["Felt on the backs"]
    # The finger's way, in a field of 600 by 200, to what a pixel is there.
    assert parse_signature(agreement.signature) == drawn
    numbers = [int(n) for n in drawn.replace("M", " ").replace("L", " ").split()]
    wanted = [n for x, y in WAYS for n in (600 * x, 200 * y)]
    assert numbers == pytest.approx(wanted, abs=3)


def test_nothing_is_signed_but_what_was_shown(jobs):
    folder = jobs / "room-a"
    total = str(open_job(folder).quote.total)
    with opened(jobs) as server:
        cookie = ask(server, "GET", f"/key/{server.key}").getheader("set-cookie").partition(";")[0]
        kind = "application/x-www-form-urlencoded"
        own = {"Cookie": cookie, "Origin": server.root, "Content-Type": kind}
        usual = {"plan": "2", "name": "Client A", "sure": "on", "total": total}

        def send(what, **form):
            body = urlencode(form).encode()
            return ask(server, "POST", f"/job/room-a/offer/{what}", headers=own, body=body)

        for wrong in (
            {"name": " "},
            {"sure": ""},
            {"plan": "x"},
            {"plan": "9"},
            {"total": "1.00"},
            {"plan": "1"},  # another plan's price
            {"signature": "M1 1L2 2"},
            {"signature": '"/><script>'},
        ):
            assert send("sign", **usual | wrong).status == 409, wrong
            assert not (folder / "signed").exists()
        text = (folder / "job.toml").read_text("utf-8")
        for what, form in (
            ("tick", {"number": "1", "taken": "on"}),
            ("drop", {"number": "x"}),
            ("add", {"name": "Felt", "cost": "a lot"}),
            ("words", {"way": "client.name", "value": "x"}),
            ("words", {"way": "offer.date", "value": "tomorrow"}),
            ("words", {"way": "words.care", "value": "x", "was": "something else"}),
            ("look", {"piece": "no such", "cloth": "1", "look": "charcoal"}),
        ):
            assert send(what, plan="2", **form).status == 409, what
        assert (folder / "job.toml").read_text("utf-8") == text
        assert send("sign", **usual).status == 303
        signed = (folder / "signed" / "agreement.toml").read_bytes()
        assert send("sign", **usual).status == 409
        assert send("add", plan="2", name="Felt", cost="4").status == 409
        assert (folder / "signed" / "agreement.toml").read_bytes() == signed
        # What is sent may run nothing and be framed by nobody else.
        assert ask(server, "GET", "/job/room-a/offer", headers={"Cookie": cookie}).status == 200
        for name, kind in (("proposal.html", "sandbox"), ("proposal.pdf", "default-src 'none'")):
            for _ in range(600):
                paper = ask(
                    server, "GET", f"/job/room-a/documents/{name}", headers={"Cookie": cookie}
                )
                if paper.status == 200:
                    break
                time.sleep(0.1)
            assert kind in paper.getheader("content-security-policy")
            assert "script-src 'unsafe" not in paper.getheader("content-security-policy")


def test_a_change_of_pieces_is_worked_out_looked_at_and_signed(jobs):
    folder = jobs / "room-a"
    agreement = open_job(folder).sign("Client A", "2026-05-11")
    gone = agreement.plan.pieces[-1].name
    asked = {"text": "One panel less", "act": "remove", "piece": gone}
    with opened(jobs) as server:
        cookie = ask(server, "GET", f"/key/{server.key}").getheader("set-cookie").partition(";")[0]
        kind = "application/x-www-form-urlencoded"
        own = {"Cookie": cookie, "Origin": server.root, "Content-Type": kind}

        def see(**query):
            answer = ask(
                server, "GET", f"/job/room-a/offer?{urlencode(query)}", headers={"Cookie": cookie}
            )
            return answer.text.decode()

        def send(what="sign-change", **form):
            body = urlencode(form).encode()
            return ask(server, "POST", f"/job/room-a/offer/{what}", headers=own, body=body)

        for _ in range(900):
            page = see(**asked)
            if "Sign the change" in page:
                break
            assert "Working out the change" in page
            time.sleep(0.1)
        total = page.partition('name="total" value="')[2].partition('"')[0]
        assert Decimal(total) < 0
        assert "--sign" not in page  # that is what the command says
        assert not list((folder / "signed").glob("change-*"))
        named = asked | {"name": "Client A", "sure": "on", "signature": "M20 150L120 30L180 160"}
        assert send(**named, total="-1.00").status == 409
        assert send(**named, total=total).status == 303
        assert send(**named, total=total).status == 409  # the piece is gone already
        # An invoice asks for the next agreed step, and for all only where nothing else is left.
        for number, step in enumerate(("deposit", "delivery", "final"), 1):
            (chosen,) = re.findall(r'<option value="(\w*)" selected', see())
            assert chosen == step
            if step != "final":
                assert send("invoice", number=f"{number}", step=step, paid="0").status == 303
        assert send("invoice", number="3", step="", paid="0").status == 303
        assert re.findall(r'<option value="(\w*)" selected', see()) == [""]
    chain = open_job(folder)
    (change,) = chain.changes
    assert (change.signed_by, change.signature) == ("Client A", "M20 150L120 30L180 160")
    assert change.total == Decimal(total)
    assert chain.agreed.quote.total == agreement.quote.total + change.total
    left = {piece.name for piece in agreement.plan.pieces} - {gone}
    assert {piece.name for piece in chain.agreed.plan.pieces} == left
    assert (folder / "documents" / "change-1.pdf").is_file()
