"""Papers that a client signs and an architect accepts: page one decides, one truth everywhere, no
shop talk, sentences that are read once."""

from __future__ import annotations

import os
import random
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from statistics import fmean
from typing import Any

import pytest

from roomcheck.facts import Estimate, fact
from roomcheck.job import Job, ShopWords
from roomcheck.judge import BandVerdict, Outcome
from roomcheck.judge.limits.decide import decide
from roomcheck.quote import visit_fee
from roomcheck.recommend import Check, CheckSubject, PlanCaution, PlanKind, PlanNote, Shortfall
from roomcheck.report import Case, Choice, NoSuchDocument, report_files, text_of
from roomcheck.report.offer.front import beyond_target
from roomcheck.report.offer.offered import Offered, choices_of
from roomcheck.report.offer.proposal import proposal
from roomcheck.report.offer.quote_page import quote_page
from roomcheck.report.offer.unmended import not_mended, nothing_to_hang
from roomcheck.report.pages.answers import four_answers
from roomcheck.report.pages.certificate import certificate
from roomcheck.report.pages.measurement import measurement_report
from roomcheck.report.pages.standard_report import accordance, item_by_item, quality_of
from roomcheck.report.render.blocks import Block, Document, NewPage, Picture, Table
from roomcheck.verify import Appeared, Kept, appearances
from roomcheck.words import Reader, money, plan_title, say, seconds

from .test_client_words import SHOP_TALK

Story = Callable[..., tuple[Job, dict[str, Any]]]

JOBS = int(os.environ.get("ROOMCHECK_PAPERS", "25"))
"""Random jobs of the cross-document test; ROOMCHECK_PAPERS=100 takes a hundred."""

NO_DRAWING = "<svg/>"


def offered_of(job: Job, known: dict[str, Any], **changes: Any) -> Offered:
    names = ("before", "verdict", "plans", "quotes", "plan", "quote")
    return Offered(job=job, **{**{name: known[name] for name in names}, **changes})


def first_page(document: Document) -> tuple[Block, ...]:
    breaks = [i for i, block in enumerate(document.blocks) if isinstance(block, NewPage)]
    return document.blocks[: breaks[0]]


def flat(blocks: Any) -> str:
    return re.sub(r"\s+", " ", text_of(blocks, width=10_000))


# --- page one


def test_page_one_holds_all_that_a_client_decides_by(story: Story, tmp_path: Path) -> None:
    job, known = story(
        tmp_path, offer_number="2026-014", offer_date="2026-05-11", client_address="Harbour 3"
    )
    text = flat(first_page(proposal(offered_of(job, known, sounds=True))))
    quote = known["quote"]
    # Offer date 2026-05-11 and 30 days: 2026-06-10, by the calendar.
    wanted = (
        *("2026-014", "2026-05-11", "until 2026-06-10", "Harbour 3", job.shop.address),
        *(job.complaint, money(quote.total, job), "0.20 and 0.35 s", "at our cost"),
        *("sound files", "client: name and signature", "shop: name and signature", "Tick one"),
    )
    assert [words for words in wanted if words not in text] == []
    for piece in known["plan"].pieces:
        assert piece.name in text


def test_page_one_is_one_page(story: Story, tmp_path: Path) -> None:
    from roomcheck.report.render.letterhead import letterhead_of
    from roomcheck.report.render.typst_page import pdf_of

    from .test_documents import pages

    job, known = story(tmp_path)
    path = tmp_path / "proposal.pdf"
    path.write_bytes(pdf_of(proposal(offered_of(job, known)), letterhead_of(job)))
    first, second = pages(path)[:2]
    assert "shop: name and signature" in first
    assert "What we found" in second


def test_what_is_missing_is_said_in_words(story: Story, tmp_path: Path) -> None:
    job, known = story(tmp_path)
    old = "No fire papers in shop.toml for 4 in panel: ask the authority."
    papers = Check(subject=CheckSubject.FIRE_PAPERS, caution=fact(PlanCaution.AS_SIGNED, text=old))
    note = fact(PlanNote.NOT_FORESEEN, bands_hz=(125.0,))
    plan = replace(known["plan"], checks=(papers,), notes=(note,))
    document = proposal(offered_of(job, known, plan=plan))
    front = flat(first_page(document))
    assert say("missing_fire") in front.replace("Fire behaviour", "fire behaviour")
    assert "125 Hz cannot be foreseen" in front
    assert say("missing_noise") in front
    assert "address not given" in front
    assert "shop.toml" not in flat(document.blocks)


def test_an_offer_without_a_number_gets_one_that_follows_from_it(
    story: Story, tmp_path: Path
) -> None:
    job, known = story(tmp_path)
    one = offered_of(job, known).number
    assert re.fullmatch(r"2026-\d\d-\d\d-[0-9A-F]{4}", one)
    assert offered_of(job, known).number == one
    fewer = replace(known["plan"], pieces=known["plan"].pieces[:2])
    assert offered_of(job, known, plan=fewer).number != one


# --- options


def test_equal_dominated_and_useless_options_are_not_shown(story: Story, tmp_path: Path) -> None:
    known = story(tmp_path)[1]
    plan, quote = known["plan"], known["quote"]
    dearer = replace(quote, total=quote.total + 100)
    sure = replace(plan, chance=0.9)
    fewer = replace(sure, pieces=plan.pieces[:3], chance=0.7)
    bare = replace(plan, pieces=(), chance=0.95)
    assert choices_of([(sure, quote), (replace(sure, kind=PlanKind.MOST), dearer)]) == (
        (sure, quote),
    )
    worse = replace(sure, pieces=plan.pieces[:5], chance=0.6)
    assert choices_of([(sure, quote), (worse, dearer)]) == ((sure, quote),)
    cheaper = replace(quote, total=quote.total - 100)
    assert len(choices_of([(sure, quote), (fewer, cheaper)])) == 2
    assert choices_of([(bare, cheaper), (sure, quote)]) == ((bare, cheaper),)


@pytest.mark.parametrize(
    ("mean_s", "chance", "worth"),
    # 5 % is just noticed of an early decay (ISO 3382-1:2009, Table A.1).
    [(0.51, 0.95, False), (0.47, 0.95, True), (0.51, 0.995, True)],
)
def test_a_dearer_option_is_shown_where_it_gives_what_is_heard_or_much_surer(
    story: Story, tmp_path: Path, mean_s: float, chance: float, worth: bool
) -> None:
    known = story(tmp_path)[1]
    quote = known["quote"]
    one = replace(known["plan"], chance=0.88, reaches_target=True)
    one = replace(one, prediction=replace(one.prediction, mid_likely_s=0.50))
    other = replace(one, pieces=one.pieces[:5], chance=chance, kind=PlanKind.MOST)
    other = replace(other, prediction=replace(one.prediction, mid_likely_s=mean_s))
    dearer = replace(quote, total=quote.total + 1000)
    shown = choices_of([(one, quote), (other, dearer)])
    assert ((other, dearer) in shown) is worth and (one, quote) in shown


@pytest.mark.parametrize("kind", [PlanKind.TARGET, PlanKind.NO_BUDGET, PlanKind.OPTIONS])
def test_a_title_never_says_that_the_target_is_met_where_it_is_not(
    story: Story, tmp_path: Path, kind: PlanKind
) -> None:
    plan = replace(story(tmp_path)[1]["plan"], kind=kind)
    reader = Reader("client")
    missing = plan_title(replace(plan, reaches_target=False), reader)
    assert missing == "What comes nearest to the target"
    assert plan_title(replace(plan, reaches_target=True), reader).startswith(
        "What the target needs"
    )
    assert "budget" not in plan_title(plan, reader)


# --- rooms to which nothing is sold


def test_a_room_that_is_fine_gets_one_page_with_the_fee(story: Story, tmp_path: Path) -> None:
    from roomcheck.report.render.letterhead import letterhead_of
    from roomcheck.report.render.typst_page import pdf_of

    from .test_documents import pages

    job, known = story(tmp_path)
    verdict = known["verdict"]
    fine = replace(verdict.mid, value_s=0.27, low_s=0.2, high_s=0.35, outcome=Outcome.WITHIN)
    bare = replace(known["plan"], pieces=(), reaches_target=True)
    offered = offered_of(job, known, plan=bare, verdict=replace(verdict, mid=fine))
    document = nothing_to_hang(offered)
    text = flat(document.blocks)
    # Survey fee 150.00 and 6.25 % tax of it, by hand.
    assert visit_fee(job).total == Decimal("159.38")
    assert "$159.38" in text and "0.27" in text and "Your room is fine" in text
    assert "signature" not in text and "Delivery" not in text and "Promised" not in text
    path = tmp_path / "nothing.pdf"
    path.write_bytes(pdf_of(document, letterhead_of(job)))
    assert len(pages(path)) == 1
    case = Case(job=job, **{**known, "plan": bare, "plans": (bare,), "agreement": None})
    names = {name for name, _ in report_files(case, aside=tmp_path)}
    assert "documents/nothing-to-hang.pdf" in names
    assert not {"documents/proposal.pdf", "documents/shop-and-install.pdf"} & names


def test_a_room_that_no_plan_mends_gets_what_would_and_who_does_it(
    story: Story, tmp_path: Path
) -> None:
    job, known = story(tmp_path)
    missed = fact(
        Shortfall.TOO_LONG,
        likely_s=1.9,
        limit_s=0.6,
        lacking_m2=12.0,
        hung_m2=0.0,
        curtain=True,
        rug=True,
        barred=("north", "ceiling"),
    )
    bare = replace(known["plan"], pieces=(), reaches_target=False, shortfalls=(missed,))
    document = not_mended(offered_of(job, known, plan=bare))
    text = flat(document.blocks)
    for words in (
        "the north wall and the ceiling",
        "the owner of the room",
        "a curtain maker",
        "carpet layer",
    ):
        assert words in text
    assert "signature" not in text


# --- one truth


def a_random_job(seed: int, job: Job, known: dict[str, Any]) -> dict[str, Any]:
    """The story with other decays, limits, promise and price."""
    rng = random.Random(seed)
    bands_hz = rng.choice(((500.0, 1000.0), (500.0, 1000.0, 2000.0)))
    octaves = tuple(
        replace(mean, t20=Estimate(value=rng.uniform(0.25, 2.0), u=rng.uniform(0.001, 0.03), n=6))
        for mean in known["before"].octaves
    )
    by_hz = {mean.band_hz: mean for mean in octaves}
    value_s = fmean(by_hz[hz].t20_s or 0.0 for hz in bands_hz)
    low_s = rng.choice((None, round(rng.uniform(0.2, 0.4), 2)))
    high_s = round(rng.uniform(0.5, 0.9), rng.choice((2, 3)))
    outcome = decide(value_s, 0.01, low_s, high_s)
    mid = replace(
        known["verdict"].mid,
        value_s=value_s,
        u_s=0.01,
        low_s=low_s,
        high_s=high_s,
        outcome=outcome,
        bands_hz=bands_hz,
    )
    bands = tuple(
        BandVerdict(
            band_hz=hz,
            value_s=mean.t20_s,
            u_s=mean.t20_u_s,
            low_s=None,
            high_s=high_s,
            outcome=decide(mean.t20_s, mean.t20_u_s, None, high_s),
        )
        for hz, mean in by_hz.items()
        if hz >= 500
    )
    target = replace(
        known["verdict"].target, mid_bands_hz=bands_hz, mid_low_s=low_s, mid_high_s=high_s
    )
    verdict = replace(known["verdict"], mid=mid, bands=bands, target=target)
    likely = rng.uniform(0.4, 0.6)
    plan = known["plan"]
    promise = replace(
        plan.promise, mid_low_s=likely - 0.06, mid_high_s=likely + 0.07, mid_bands_hz=bands_hz
    )
    prediction = replace(
        plan.prediction,
        mid_likely_s=likely,
        mid_low_s=likely - 0.04,
        mid_high_s=likely + 0.05,
        mid_bands_hz=bands_hz,
    )
    plan = replace(plan, promise=promise, prediction=prediction)
    total = Decimal(rng.randrange(100_000, 900_000)) / 100
    quote = replace(known["quote"], total=total)
    before = replace(known["before"], octaves=octaves, mid_s=value_s)
    return {
        **known,
        "before": before,
        "verdict": verdict,
        "plan": plan,
        "plans": (plan,),
        "quotes": (quote,),
        "quote": quote,
    }


def last_row(document: Document, head: str) -> tuple[str, ...]:
    for block in document.blocks:
        if isinstance(block, Table) and say(head) in block.heads:
            return block.rows[-1]
    raise AssertionError(head)


@pytest.fixture
def undrawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pictures take most of the time, and hold no number of their own."""
    from roomcheck.report.offer import front, options, unmended
    from roomcheck.report.offer import proposal as proposal_page
    from roomcheck.report.pages import certificate as certificate_page
    from roomcheck.report.pages import measurement as measurement_pages

    picture = Picture(svg=NO_DRAWING, alt="A drawing.")
    for page in (front, unmended, certificate_page):
        monkeypatch.setattr(
            page, "bars_picture", lambda *parts: Picture(svg=NO_DRAWING, alt=parts[-1])
        )
    for page in (proposal_page, certificate_page, measurement_pages):
        monkeypatch.setattr(page, "plan_picture", lambda *_, **__: picture)
    monkeypatch.setattr(proposal_page, "elevations", lambda *_, **__: ())
    monkeypatch.setattr(measurement_pages, "decays_svg", lambda *_: NO_DRAWING)
    monkeypatch.setattr(certificate_page, "change_svg", lambda *_: NO_DRAWING)
    for page in (front, options):
        monkeypatch.setattr(page, "hung_picture", lambda *_: picture)


def test_the_same_number_stands_everywhere(
    story: Story,
    tmp_path: Path,
    undrawn: None,
    record_property: Callable[[str, object], None],
) -> None:
    job, known = story(tmp_path)
    for seed in range(JOBS):
        there = a_random_job(seed, job, known)
        numbers_agree(job, there)
    record_property("jobs", JOBS)
    record_property("differing", 0)


def numbers_agree(job: Job, known: dict[str, Any]) -> None:
    """Hold today's mean, the range, the promise and the price of one job against each other, over
    proposal, quote, measurement report and certificate."""
    offered = offered_of(job, known)
    offer, price = proposal(offered), quote_page(offered)
    survey = measurement_report(job, known["before"], known["verdict"])
    mid = known["verdict"].mid
    today = seconds(mid.value_s, mid.low_s, mid.high_s)
    front = flat(first_page(offer))
    assert f"today {today} s" in front
    aim, measured = last_row(offer, "aim_today"), last_row(survey, "head_t20")
    assert aim[0] == measured[0]
    assert aim[1] == measured[1] == today
    assert aim[2] == measured[3]
    low, high = NUMBERS.findall(aim[4])
    assert f"Between {low} and {high} s" in front
    assert f"Between {low} and {high} s" in flat(price.blocks)
    expected = re.search(r"\((\d\.\d\d–\d\.\d\d)\)", aim[3])
    assert expected and f"planned {expected[1]} s" in front
    total = money(known["quote"].total, job)
    assert total in front
    assert flat(price.blocks).count(total) == flat(offer.blocks).count(total) - 1 == 1
    signed = replace(known["agreement"], plan=known["plan"], quote=known["quote"])
    changed = replace(
        known["verification"].mid,
        low_s=known["plan"].promise.mid_low_s,
        high_s=known["plan"].promise.mid_high_s,
        bands_hz=mid.bands_hz,
    )
    proof = certificate(job, signed, replace(known["verification"], mid=changed))
    row = last_row(proof, "head_promise")
    assert row[0] == aim[0]
    assert aim[4] in row


NUMBERS = re.compile(r"\d+\.\d+")


def test_a_promise_past_the_target_says_so_and_no_other_does(story: Story, tmp_path: Path) -> None:
    job, known = story(tmp_path)
    # The story's octaves are promised 0.20 to 0.38 s against 0.20 to 0.35 s.
    past = beyond_target(offered_of(job, known))
    assert len(past) == 4 and "500 Hz up to 0.38 s, target 0.35 s" in past
    document = proposal(offered_of(job, known))
    named = "It reaches past the target (500 Hz, 1 kHz, 2 kHz and 4 kHz)"
    assert named in flat(first_page(document))
    assert all(line in flat(document.blocks) for line in past)
    promise = known["plan"].promise
    inside = tuple(replace(band, high_s=0.35) for band in promise.bands)
    plan = replace(known["plan"], promise=replace(promise, bands=inside))
    offered = offered_of(job, known, plan=plan)
    assert beyond_target(offered) == ()
    assert say("acc_beyond") not in flat(proposal(offered).blocks)


def test_a_mean_over_other_octaves_has_a_row_of_its_own(story: Story, tmp_path: Path) -> None:
    # As agreements were signed before the mean followed the target.
    job, known = story(tmp_path)
    mid = replace(known["verdict"].mid, bands_hz=(500.0, 1000.0, 2000.0))
    offered = offered_of(job, known, verdict=replace(known["verdict"], mid=mid))
    table = next(
        block
        for block in proposal(offered).blocks
        if isinstance(block, Table) and say("aim_today") in block.heads
    )
    promised, judged = table.rows[-2:]
    assert promised[0] == "mean of 500 Hz and 1 kHz" and promised[1] == "–"
    assert judged[0] == "mean of 500 Hz, 1 kHz and 2 kHz" and judged[-1] == "–"


# --- the certificate


def answers(job: Job, known: dict[str, Any], **changes: Any) -> dict[str, str]:
    verification = replace(known["verification"], **changes)
    facts = four_answers(
        job, known["agreement"], verification, known["verdict"], known.get("verdict_after")
    )
    return dict(facts.pairs)


def test_kept_says_whether_the_target_is_reached_too(story: Story, tmp_path: Path) -> None:
    job, known = story(tmp_path)
    mid = replace(known["verdict"].mid, value_s=0.38, outcome=Outcome.TOO_LONG)
    missed = {**known, "verdict_after": replace(known["verdict"], mid=mid, bands=())}
    told = answers(job, missed, kept=Kept.KEPT)
    assert told[say("ask_target")].startswith("No.")
    assert "0.38 s" in told[say("ask_target")] and "0.35 s" in told[say("ask_target")]
    fine = replace(known["verdict"].mid, value_s=0.28, outcome=Outcome.WITHIN)
    reached = {**known, "verdict_after": replace(known["verdict"], mid=fine, bands=())}
    assert answers(job, reached, kept=Kept.KEPT)[say("ask_target")].startswith("Yes.")


def test_an_undecided_promise_is_measured_at_twice_the_pairs_as_signed(
    story: Story, tmp_path: Path
) -> None:
    job, known = story(tmp_path)
    text = answers(job, known, kept=Kept.UNDECIDED, pairs_after=6)[say("ask_next")]
    clause = flat(proposal(offered_of(job, known)).blocks)
    assert "at 12 pairs in place of 6" in text
    assert "at 12 pairs in place of 6" in clause
    shop = replace(job.shop, words=ShopWords(remedy="We come back until it is right."))
    own = replace(job, shop=shop)
    assert answers(own, known, kept=Kept.NOT_KEPT)[say("ask_next")].endswith(shop.words.remedy)
    assert shop.words.remedy in flat(proposal(offered_of(own, known)).blocks)


def test_faults_after_the_work_are_told_from_those_that_were_there_unseen(
    story: Story, tmp_path: Path
) -> None:
    from roomcheck.judge import Finding, FindingKind, LimitSource, Remedy

    verdict = story(tmp_path)[1]["verdict"]
    dull = Finding(
        measured=fact(FindingKind.DULL, treble_s=0.3, low_middle_s=0.6, ratio=0.5, limit_ratio=0.6),
        source=fact(LimitSource.COMMON_PRACTICE),
        remedies=(fact(Remedy.TAKE_DOWN_THIN),),
        beyond_jnd=2.0,
    )
    after = replace(verdict, findings=(*verdict.findings, dull))
    unseen = tuple(
        replace(band, outcome=Outcome.MODAL) if band.band_hz == 250 else band
        for band in verdict.bands
    )
    (found,) = appearances(verdict, after)
    assert (found.finding, found.how) == (dull, Appeared.NEW)
    (found,) = appearances(replace(verdict, bands=unseen), after)
    assert found.how is Appeared.UNSEEN
    assert appearances(after, after) == ()


def test_the_four_answers_agree_with_each_other(story: Story, tmp_path: Path) -> None:
    from roomcheck.judge import Finding, FindingKind, LimitSource, Remedy

    job, known = story(tmp_path)
    fine = replace(known["verdict"].mid, value_s=0.28, outcome=Outcome.WITHIN)
    good = replace(known["verdict"], mid=fine, bands=())
    done = answers(job, {**known, "verdict_after": good}, kept=Kept.KEPT)
    assert done[say("ask_next")] == say("next_kept")

    dull = Finding(
        measured=fact(FindingKind.DULL, treble_s=0.3, low_middle_s=0.6, ratio=0.5, limit_ratio=0.6),
        source=fact(LimitSource.COMMON_PRACTICE),
        remedies=(fact(Remedy.TAKE_DOWN_THIN),),
        beyond_jnd=2.0,
    )
    new = replace(good, findings=(*good.findings, dull))
    told = answers(job, {**known, "verdict_after": new}, kept=Kept.KEPT)
    assert "Dull" in told[say("ask_new")]
    assert "Nothing more" not in told[say("ask_next")]
    assert "Dull. Free to try: take down some of the thin panels" in told[say("ask_next")]

    long = replace(good, mid=replace(fine, value_s=0.38, outcome=Outcome.TOO_LONG))
    told = answers(job, {**known, "verdict_after": long}, kept=Kept.KEPT)
    assert told[say("ask_target")].startswith("No.")
    assert "Nothing more" not in told[say("ask_next")]
    # What is owed for a promise that is not kept stands first, and the target adds nothing to it.
    told = answers(job, {**known, "verdict_after": long}, kept=Kept.NOT_KEPT)
    assert told[say("ask_next")] == f"As agreed: {say('acc_remedy_says')}"


def test_what_was_taken_off_stands_in_the_row_of_the_number(story: Story, tmp_path: Path) -> None:
    job, known = story(tmp_path)
    verification = known["verification"]
    # One person more took 0.01 s off 0.31 s as met: 0.32 s is what the promise is held against.
    changes = tuple(replace(change, after_s=0.32, people_s=-0.01) for change in verification.bands)
    shown = certificate(job, known["agreement"], replace(verification, bands=changes))
    table = next(
        block
        for block in shown.blocks
        if isinstance(block, Table) and say("head_as_met") in block.heads
    )
    row = dict(zip(table.heads, table.rows[0], strict=True))
    assert (row[say("head_as_met")], row[say("head_after")]) == ("0.31", "0.32")
    assert table.note == say("note_corrected")


# --- the test report


def test_every_item_of_the_standard_is_answered_or_is_a_deviation(
    story: Story, tmp_path: Path
) -> None:
    job, known = story(tmp_path)
    (table,) = (b for b in item_by_item(job, known["before"], None) if isinstance(b, Table))
    assert len(table.rows) >= 18
    assert all(answer.strip(" .") for _, answer in table.rows)
    bare = replace(job, visits=())
    (table,) = (b for b in item_by_item(bare, known["before"], None) if isinstance(b, Table))
    stated = dict(table.rows)
    for item in ("item_people", "item_air", "item_serials", "date"):
        assert stated[say(item)] == say("item_missing")
    quality = quality_of(bare, known["before"])
    assert say("dev_conditions") in quality.deviations
    assert "except" in accordance(known["before"], quality)


def test_in_accordance_is_said_without_except_only_where_nothing_deviates(
    story: Story, tmp_path: Path
) -> None:
    job, known = story(tmp_path)
    noted = tuple(
        replace(visit, omnidirectional=True, equipment="dodecahedron, microphone")
        for visit in job.visits
    )
    whole = replace(job, visits=noted)
    from roomcheck.measure import Signal

    before = replace(
        known["before"],
        signals=(fact(Signal.AS_SIGNED, text="sweep"),)
        if hasattr(Signal, "AS_SIGNED")
        else known["before"].signals or (_a_signal(),),
    )
    quality = quality_of(whole, before)
    assert quality.deviations == ()
    assert accordance(before, quality).endswith("engineering method.")
    none = replace(before, grade="none")
    assert accordance(none, quality_of(whole, none)).startswith("Not a measurement after")


def _a_signal() -> Any:
    from roomcheck.measure import Signal

    kind = next(iter(Signal))
    return fact(kind)


def test_a_weak_measurement_colours_its_verdict(story: Story, tmp_path: Path) -> None:
    from roomcheck.report.render.blocks import VerdictBox

    job, known = story(tmp_path)
    before = known["before"]
    weak = replace(
        before,
        positions=tuple(
            replace(p, octaves=tuple(replace(band, range_db=31.0) for band in p.octaves))
            for p in before.positions
        ),
    )
    for analysis, tone in ((before, "bad"), (weak, "open")):
        document = measurement_report(job, analysis, known["verdict"])
        box = next(block for block in document.blocks if isinstance(block, VerdictBox))
        assert box.tone == tone
        assert (say("box_weak") in box.sentence) == (tone == "open")
    assert "31 dB above the noise" in flat(measurement_report(job, weak, known["verdict"]).blocks)


# --- words


def client_papers(job: Job, known: dict[str, Any]) -> Iterator[Document]:
    offered = offered_of(job, known)
    yield proposal(offered)
    yield quote_page(offered)
    yield nothing_to_hang(offered)
    yield not_mended(offered)
    yield certificate(
        job,
        known["agreement"],
        known["verification"],
        ("signed/agreement.toml",),
        before=known["verdict"],
        after=known["verdict"],
    )


@pytest.mark.parametrize("complaint", ["", "It booms."])
def test_no_client_paper_holds_shop_talk(
    story: Story, tmp_path: Path, undrawn: None, complaint: str
) -> None:
    job, known = story(tmp_path, complaint=complaint)
    for document in client_papers(job, known):
        text = flat(document.blocks)
        for name, rule in SHOP_TALK.items():
            found = re.search(rule, text)
            assert found is None, f"{document.name}, {name}: {text[found.start() - 60 :][:120]}"


MOST_WORDS = 16
"""Of a sentence, on average: what plain English guides ask for (common practice, 15 to 20)."""


def test_sentences_for_clients_are_short(
    story: Story, tmp_path: Path, undrawn: None, record_property: Callable[[str, object], None]
) -> None:
    job, known = story(tmp_path)
    means = []
    metric = replace(job, units="metric", complaint="Nobody at the back follows a word.")
    for one, its in ((job, known), (metric, a_random_job(11, job, known))):
        for document in client_papers(one, its):
            lengths = [len(sentence.split()) for sentence in sentences_of(document)]
            assert len(lengths) >= 8
            means.append(fmean(lengths))
            assert means[-1] <= MOST_WORDS, (document.name, means[-1])
    record_property("words", f"{min(means):.1f} to {max(means):.1f}")


def sentences_of(document: Document) -> Iterator[str]:
    """Whole sentences of a document; neither tables, names nor what a drawing's text says."""
    kept = [b for b in document.blocks if not isinstance(b, Table | Picture)]
    for line in text_of(kept, width=10_000).splitlines():
        for part in re.split(r"(?<=[.:;?!]) +", line.strip("•☐ ")):
            if len(part.split()) >= 3 and part[-1:] in ".:;?!":
                yield part


# --- own words, chosen documents, source


def test_a_shop_says_it_in_its_own_words(story: Story, tmp_path: Path, undrawn: None) -> None:
    job, known = story(tmp_path)
    words = ShopWords(
        greeting="Thank you for having us.",
        exclusions=("Moving the piano.",),
        care="Brush twice a year.",
        remedy="We come back until it is right.",
        payment="By transfer within a week.",
    )
    own = replace(job, shop=replace(job.shop, words=words))
    text = flat(proposal(offered_of(own, known)).blocks)
    for said in (words.greeting, words.care, words.remedy, *words.exclusions):
        assert said in text
    assert say("care_says") not in text and say("acc_remedy_says") not in text
    assert words.payment in flat(quote_page(offered_of(own, known)).blocks)


def test_documents_are_set_by_name_and_by_reader(story: Story, tmp_path: Path) -> None:
    job, known = story(tmp_path)
    case = Case(job=job, **known)
    only = report_files(case, Choice(only=("quote",)), aside=tmp_path)
    assert [name for name, _ in only] == ["documents/quote.pdf", "documents/quote.html"]
    client = {name for name, _ in report_files(case, Choice(audience="client"), aside=tmp_path)}
    assert "documents/proposal.pdf" in client
    assert not {name for name in client if "shop" in name or "measurement" in name}
    architect = {
        name for name, _ in report_files(case, Choice(audience="architect"), aside=tmp_path)
    }
    # Where pieces hang and what to check on site stand in the proposal.
    assert {"documents/proposal.pdf", "documents/measurement-before.pdf"} <= architect
    assert not {name for name in architect if "shop" in name or "quote" in name}
    assert "results/bands-before.csv" in architect and "results/bands-before.csv" not in client
    with pytest.raises(NoSuchDocument, match="proposal"):
        report_files(case, Choice(only=("offer",)), aside=tmp_path)


def test_only_what_is_asked_for_is_drawn(
    story: Story, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    job, known = story(tmp_path)

    def drawn(*_: object, **__: object) -> None:
        raise AssertionError("drawn, and not asked for")

    for other in ("measurement_report", "proposal", "shop_sheets", "_certificate", "_heard"):
        monkeypatch.setattr(f"roomcheck.report.make.{other}", drawn)
    files = report_files(Case(job=job, **known), Choice(only=("quote",)), aside=tmp_path)
    assert [name for name, _ in files] == ["documents/quote.pdf", "documents/quote.html"]


def test_the_source_sets_the_same_page_by_itself(story: Story, tmp_path: Path) -> None:
    import typst

    from .test_documents import ODD
    from .test_documents import flat as flat_pdf

    job, known = story(tmp_path, complaint=ODD)
    files = dict(
        report_files(Case(job=job, **known), Choice(only=("quote",), source=True), aside=tmp_path)
    )
    source = tmp_path / "quote.typ"
    source.write_text(str(files["documents/quote.typ"]), "utf-8")
    (tmp_path / "again.pdf").write_bytes(typst.compile(str(source), format="pdf"))
    (tmp_path / "first.pdf").write_bytes(files["documents/quote.pdf"])  # type: ignore[arg-type]
    assert flat_pdf(tmp_path / "again.pdf") == flat_pdf(tmp_path / "first.pdf")
