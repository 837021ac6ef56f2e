"""The whole shop on one screen: all that is kept and nothing else, for the owner alone."""

from __future__ import annotations

import datetime
import html
import re
import shutil
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import anyio
import pytest

from roomcheck.chain import open_job, work_all_jobs
from roomcheck.demo import recordings
from roomcheck.job import load_job, set_tick, write_bill, write_change
from roomcheck.measure import Sweep, add_recording
from roomcheck.page.base.folder import Folder
from roomcheck.page.base.guard import Keys
from roomcheck.page.base.memory import Memory
from roomcheck.page.making.hanging import item_of
from roomcheck.page.places.jobs import listed
from roomcheck.page.places.owner import owner_page
from roomcheck.page.server import Server
from roomcheck.plain import to_plain
from roomcheck.quote import MILESTONES, Invoice, balance, change_order, invoice, promised_day
from roomcheck.verify import BandChange, Kept, MeanChange, Verification
from roomcheck.workshop import over_jobs

from .conftest import TOP, make_room

STORY = TOP / "roomcheck" / "demo" / "story-room"
TODAY = datetime.date(2026, 6, 1)
SWEEP = Sweep(low_hz=40, high_hz=20_000, seconds=4, rate_hz=48_000)


def signed_job(folder: Path, title: str) -> Path:
    """The demo's signed job under another title, without recordings."""
    shutil.copytree(STORY, folder)
    file = folder / "job.toml"
    text = re.sub(r"(?m)^title = .*$", f'title = "{title}"', file.read_text("utf-8"), count=1)
    file.write_text(text, "utf-8")
    return folder


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """Two signed jobs with their build sheets kept, and one that has only begun."""
    top = tmp_path_factory.mktemp("shop") / "jobs"
    top.mkdir()
    for name in ("harbour", "mill"):
        open_job(signed_job(top / name, f"{name.title()} <b>room</b>")).sheet  # noqa: B018
    make_room(top / "attic", places=False)
    return top


@pytest.fixture
def jobs(made, tmp_path):
    return Path(shutil.copytree(made, tmp_path / "jobs"))


def page_of(jobs):
    return owner_page(Folder(jobs), Memory(), TODAY)


def files_of(folder):
    return {p: p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def get(app, path, cookie, host):
    """One request through the guard: status and text."""
    said = []

    async def receive():
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message):
        said.append(message)

    scope = {
        "type": "http",
        "method": "GET",
        "path": path,
        "raw_path": path.encode(),
        "query_string": b"",
        "headers": [(b"host", host.encode()), (b"cookie", f"roomcheck-1={cookie}".encode())],
        "scheme": "http",
        "server": ("127.0.0.1", 1),
        "root_path": "",
    }
    # In a thread of its own: a browser that another test opened keeps a loop running in this one.
    with ThreadPoolExecutor(1) as pool:
        pool.submit(anyio.run, app, scope, receive, send).result()
    body = b"".join(message.get("body", b"") for message in said)
    return said[0]["status"], body.decode()


def test_every_job_stands_there_with_its_step_day_and_money(jobs):
    attic, harbour, mill = page_of(jobs).rows
    agreement = open_job(jobs / "mill").agreement
    assert (attic.signed, attic.promised, attic.money) == ("", "", {})
    assert attic.next_step == "Type the room and its places"
    assert mill.signed == agreement.signed_on
    day = datetime.date.fromisoformat(agreement.signed_on)
    days = (datetime.date.fromisoformat(mill.promised) - day).days
    assert days == 7 * agreement.plan.weeks
    assert mill.late == (mill.promised < TODAY.isoformat())
    total = f"${agreement.quote.total:,.2f}"
    assert mill.money == {"agreed": total, "billed": "$0.00", "paid": "$0.00", "open": total}
    assert page_of(jobs).sums[0]["open"] == f"${2 * agreement.quote.total:,.2f}"
    assert harbour.money == mill.money


def test_a_change_and_an_invoice_move_the_day_and_the_money(jobs):
    folder = jobs / "mill"
    before = page_of(jobs).rows[2]
    quote = open_job(folder).agreement.quote
    change = change_order(
        quote,
        number=1,
        text="one more panel",
        cost=Decimal(60),
        margin_pct=Decimal(40),
        signed_on="2026-05-20",
        signed_by="Client A",
        days=3,
    )
    assert change.net == Decimal("100.00")  # 60 is 60 % of 100
    write_change(folder, 1, to_plain(change))
    bill = invoice(
        quote,
        number="2026-1",
        date="2026-05-21",
        paid=Decimal("200.00"),
        changes=(change,),
        milestone=MILESTONES["deposit"],
    )
    write_bill(folder, "2026-1", to_plain(bill))
    after = page_of(jobs).rows[2]
    moved = [datetime.date.fromisoformat(row.promised) for row in (before, after)]
    assert (moved[1] - moved[0]).days == 3
    agreed = quote.total + Decimal(100) + change.tax
    assert after.money["agreed"] == f"${agreed:,.2f}"
    assert after.money["paid"] == "$200.00"
    assert after.money["open"] == f"${agreed - 200:,.2f}"


def test_money_against_amounts_worked_out_by_hand(jobs):
    agreement = open_job(jobs / "mill").agreement
    agreement = replace(agreement, quote=replace(agreement.quote, total=Decimal(1000)))
    zero = {"net": Decimal(0), "tax": Decimal(0), "due": Decimal(0), "lines": (), "changes": ()}
    first = Invoice(
        number="1",
        date="2026-01-01",
        total=Decimal(400),
        claimed=Decimal(400),
        paid=Decimal(0),
        milestone=MILESTONES["deposit"],
        **zero,
    )
    # All is billed, 50 of an allowance were not used: 950 in all, 550 of it new, 400 came in.
    last = replace(
        first,
        number="2",
        date="2026-02-01",
        total=Decimal(950),
        claimed=Decimal(550),
        paid=Decimal(400),
        milestone=None,
    )
    found = balance(agreement, (), (first,))
    assert (found.agreed, found.billed, found.paid, found.open) == (1000, 400, 0, 1000)
    found = balance(agreement, (), (first, last))
    assert (found.agreed, found.billed, found.paid, found.open) == (950, 950, 400, 550)
    note = replace(last, number="3", claimed=Decimal(-150), paid=Decimal(0), credits="2")
    assert balance(agreement, (), (first, last, note)).billed == 800
    plan = replace(agreement.plan, weeks=6)
    signed = replace(agreement, plan=plan, signed_on="2026-05-11")
    assert promised_day(signed) == datetime.date(2026, 6, 22)
    assert promised_day(replace(signed, plan=replace(plan, weeks=None))) is None
    assert promised_day(replace(signed, signed_on="in May")) is None


def test_one_buy_list_holds_every_pack_of_every_job(jobs):
    page = page_of(jobs)
    sheet = open_job(jobs / "mill").sheet
    assert sheet.purchases
    for line in sheet.purchases:
        assert f"{line.packs} for Mill &lt;b&gt;room&lt;/b&gt;" in page.work
    pieces = 2 * sum(len(piece.names) for piece in sheet.sheets)
    assert f"{pieces} pieces" in page.work
    assert "Not planned yet" not in page.work


def test_build_sheets_add_up_item_by_item(made):
    one = open_job(made / "mill").sheet
    fewer = replace(one, purchases=one.purchases[1:], sheets=one.sheets[:1])
    work = over_jobs({"a": one, "b": fewer, "c": one})
    packs = Counter[str]()
    cost = Counter[str]()
    for sheet in (one, fewer, one):
        for line in sheet.purchases:
            packs[line.item] += line.packs
            cost[line.item] += int(100 * line.cost)
    assert {line.purchase.item: line.purchase.packs for line in work.purchases} == packs
    assert int(100 * work.cost) == sum(cost.values())
    first = next(line for line in work.purchases if line.purchase.item == one.purchases[0].item)
    assert [job for job, _ in first.jobs] == ["a", "c"]
    assert work.count == 2 * sum(len(p.names) for p in one.sheets) + len(one.sheets[0].names)
    assert work.build_hours == 3 * one.build_hours
    assert over_jobs({}).purchases == ()


def test_one_plan_over_all_jobs_marks_each_part_and_leaves_out_what_was_begun(jobs):
    assert page_of(jobs).waits
    work_all_jobs(jobs)
    page = page_of(jobs)
    assert not page.waits
    assert "One cutting plan" in page.work
    sheet = open_job(jobs / "mill").sheet
    text = html.unescape(re.sub(r"<[^>]*>", " ; ", page.work))
    assert "For Harbour <b>room</b> and Mill <b>room</b> as one" in text
    marked = Counter()
    for count, job in re.findall(r"(\d+) × [^;]{1,40}? (Harbour|Mill) <b>", text):
        marked[job] += int(count)
    assert min(marked["Mill"], marked["Harbour"]) > len(sheet.sheets)
    apart = 2 * sum(line.cost for line in sheet.purchases)
    assert f"${apart:,.2f}" in text
    assert "this week" in text
    set_tick(jobs / "mill", "buy", "wood glue", on=True)  # from here on it is cut by its own sheet
    page = page_of(jobs)
    assert not page.waits  # one job alone needs no plan over all
    assert "One cutting plan" not in page.work
    open_job(signed_job(jobs / "orchard", "Orchard room")).sheet  # noqa: B018
    work_all_jobs(jobs)
    work = page_of(jobs).work
    assert "so on no list here: Mill" in work
    assert "One cutting plan" in work


def test_the_page_looks_again_until_the_plan_is_there_and_then_no_more(jobs):
    keys = Keys(port=1)
    server, own, started = Server(Folder(jobs), keys), keys.exchange(keys.address), []
    server.works.start = lambda *task: started.append(task)
    text = get(server.app(), "/shop", own, "127.0.0.1:1")[1]
    assert "data-waits" in text  # what the page's script looks for
    ((_, folder, task),) = started
    assert (folder, task) == (jobs, "all-jobs")
    work_all_jobs(folder)
    for _ in range(2):
        text = get(server.app(), "/shop", own, "127.0.0.1:1")[1]
        assert "One cutting plan" in text
        assert "data-waits" not in text
    assert len(started) == 1


def test_pieces_that_all_hang_are_built_no_more(jobs):
    for line in open_job(jobs / "mill").sheet.hanging:
        assert "Mill" in page_of(jobs).work
        set_tick(jobs / "mill", "hung", item_of(line), on=True)
    assert "Mill" not in page_of(jobs).work
    assert page_of(jobs).rows[2].next_step == "Measure it"  # the demo's recordings are not here


def test_what_is_not_kept_is_said_and_not_worked_out(jobs):
    shutil.rmtree(jobs / "mill" / "results")
    before = files_of(jobs)
    page = page_of(jobs)
    assert files_of(jobs) == before
    assert "Not planned yet, so on neither list: Mill &lt;b&gt;room&lt;/b&gt;." in page.work
    assert "for Harbour" in page.work
    assert "for Mill" not in page.work
    assert "No promise has been held against a second measurement yet." in page.record


def change_of(kept, **more):
    return {
        "before_s": 0.81,
        "after_s": 0.47,
        "after_u_s": 0.02,
        "change_s": -0.34,
        "change_u_s": 0.03,
        "low_s": 0.4,
        "high_s": 0.55,
        "kept": kept,
        "audible": True,
        **more,
    }


def test_a_second_measurement_takes_the_job_off_the_bench_and_onto_the_record(jobs):
    folder = jobs / "mill"
    take = next((recordings() / "after").glob("S1-P1.*"))
    add_recording(load_job(folder), take, visit="after", source="S1", microphone="P1", sweep=SWEEP)
    page = page_of(jobs)
    assert "for Mill" not in page.work
    assert "not held against the promise yet: Mill" in page.record
    chain = open_job(folder)
    kept = Verification(
        bands=(
            BandChange(band_hz=500.0, **change_of(Kept.KEPT)),
            BandChange(band_hz=1000.0, **change_of(Kept.UNDECIDED)),
            BandChange(band_hz=63.0, **change_of(Kept.NOT_PROMISED)),
        ),
        mid=MeanChange(bands_hz=(500.0, 1000.0), **change_of(Kept.KEPT)),
        kept=Kept.UNDECIDED,
        differences=(),
        pairs=1,
        pairs_after=1,
    )
    chain.results.write("verification", chain._verification_from, Verification, kept)
    record = page_of(jobs).record
    assert "0 kept, 0 not kept, 1 undecided" in record
    assert "2 of 3 kept, 0 not kept, 1 undecided" in record
    assert "0.40–0.55" in record
    # 0.47 s was measured: inside what was predicted, or not, by the agreement's own numbers.
    bands = [
        band
        for band in chain.agreement.plan.prediction.after
        if band.band_hz in (500.0, 1000.0, 63.0) and band.low_s is not None
    ]
    within = sum(band.low_s <= 0.47 <= band.high_s for band in bands)
    assert f"{within} of {len(bands)} measured octaves lie in the range" in record
    # Another take, and what was kept is of other files: it is not shown as of these.
    (folder / "takes" / "after" / "note.txt").write_text("x", "utf-8")
    assert "not held against the promise yet: Mill" in page_of(jobs).record


def test_one_job_that_cannot_be_read_hides_no_other(jobs):
    (jobs / "attic" / "job.toml").write_text("schema = 'x", "utf-8")
    (jobs / "mill" / "signed" / "agreement.toml").write_text("schema = 'x", "utf-8")
    attic, harbour, mill = page_of(jobs).rows
    assert attic.problem
    assert "agreement.toml" in mill.problem
    assert harbour.money
    assert "for Harbour" in page_of(jobs).work
    assert [bool(one.problem) for one in listed(Folder(jobs))] == [True, False, True]


def test_the_owner_sees_it_and_no_telephone_does(jobs):
    keys = Keys(port=1, phone="p" * 32)
    server = Server(Folder(jobs), keys)
    host = "127.0.0.1:1"
    own = keys.exchange(keys.address)
    phone = keys.exchange_phone("p" * 32)
    status, text = get(server.app(), "/shop", own, host)
    assert status == 200
    assert "Mill &lt;b&gt;room" in text
    assert "<b>room" not in text
    assert "/shop" in get(server.app(), "/", own, host)[1]
    phones = server.app(frozenset({host}), phones=True)
    status, text = get(phones, "/shop", phone, host)
    assert status == 404
    assert "$" not in text
    status, text = get(phones, "/", phone, host)
    assert status == 200
    assert 'href="/shop"' not in text
    assert get(server.app(), "/shop", "stranger", host)[0] == 403
