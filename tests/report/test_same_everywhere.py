"""The same words and numbers on the terminal, on the telephone and on paper, for random results."""

from __future__ import annotations

import random
import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from roomcheck.facts import Estimate
from roomcheck.job import Job
from roomcheck.judge import Outcome
from roomcheck.judge.limits.decide import decide
from roomcheck.plain import to_plain
from roomcheck.report import text_of
from roomcheck.report.pages import certificate as certificate_page
from roomcheck.report.pages import measurement as measurement_pages
from roomcheck.report.pages.certificate import certificate
from roomcheck.report.pages.measurement import measurement_report
from roomcheck.report.render.blocks import Document, Picture, Table
from roomcheck.report.render.html import html_of
from roomcheck.report.render.letterhead import letterhead_of
from roomcheck.report.render.typst_page import plain_document
from roomcheck.verify import Kept, verify
from roomcheck.words import Reader, limits, plus_minus, say, seconds, verdict_sentence

RESULTS = 200
NO_DRAWING = "<svg/>"
MARKS = set("•☐⚠–“”─·_")
NUMBER = re.compile(r"\d+(?:\.\d+)?")

Story = Callable[..., tuple[Job, dict[str, Any]]]


def near(rng: random.Random, limit_s: float) -> float:
    """A decay near its limit, often so near that two decimals do not tell them apart."""
    return limit_s * (1 + rng.choice((0.3, 0.02, 0.004, 0.0004)) * rng.uniform(-1, 1))


def some_limits(rng: random.Random) -> tuple[float | None, float | None]:
    high_s = round(rng.uniform(0.2, 1.5), rng.choice((1, 2, 3, 9)))
    low_s = round(high_s * rng.uniform(0.4, 0.8), rng.choice((2, 9)))
    return rng.choice(((low_s, high_s), (None, high_s), (low_s, None), (None, None)))


def a_result(seed: int, job: Job, known: dict[str, Any]) -> tuple[Document, Document]:
    """A measurement report and a certificate of made-up decays, limits and promises."""
    rng = random.Random(seed)
    ends = {mean.band_hz: some_limits(rng) for mean in known["after"].octaves}
    octaves = []
    for mean in known["after"].octaves:
        limit_s = next((end for end in ends[mean.band_hz] if end), 0.5)
        u_s = rng.choice((rng.uniform(0, 0.03), rng.uniform(0, 0.0003)))
        octaves.append(replace(mean, t20=Estimate(value=near(rng, limit_s), u=u_s, n=6)))
    after = replace(known["after"], octaves=tuple(octaves))
    bands = []
    for mean, judged in zip(octaves, known["verdict"].bands, strict=True):
        low_s, high_s = ends[mean.band_hz]
        outcome = decide(mean.t20_s, mean.t20_u_s, low_s, high_s)
        bands.append(
            replace(
                judged,
                value_s=mean.t20_s,
                u_s=mean.t20_u_s,
                low_s=low_s,
                high_s=high_s,
                outcome=outcome,
            )
        )
    verdict = replace(known["verdict"], bands=tuple(bands))
    agreement = known["agreement"]
    promised = []
    for band in agreement.plan.promise.bands:
        low_s, high_s = ends[band.band_hz]
        if low_s or high_s:
            both = (low_s or 0.4 * (high_s or 0.0), high_s or 2.5 * (low_s or 0.0))
            promised.append(replace(band, low_s=both[0], high_s=both[1]))
    promise = replace(agreement.plan.promise, bands=tuple(promised))
    agreement = replace(agreement, plan=replace(agreement.plan, promise=promise))
    verification = verify(job, known["before"], after, agreement)
    changes = tuple(
        replace(change, after_s=mean.t20_s, after_u_s=mean.t20_u_s, kept=_kept(mean, change))
        for change, mean in zip(verification.bands, octaves, strict=True)
    )
    verification = replace(verification, bands=changes)
    return measurement_report(job, after, verdict), certificate(job, agreement, verification)


def _kept(mean: Any, change: Any) -> Kept:
    """What the decision rule on the certificate says of one octave."""
    outcome = decide(mean.t20_s, mean.t20_u_s, change.low_s, change.high_s)
    return {
        Outcome.WITHIN: Kept.KEPT,
        Outcome.UNDECIDED: Kept.UNDECIDED,
        Outcome.NO_LIMIT: Kept.NOT_PROMISED,
    }.get(outcome, Kept.NOT_KEPT)


@pytest.fixture(scope="module")
def documents(story: Story, tmp_path_factory: pytest.TempPathFactory) -> list[Document]:
    patch = pytest.MonkeyPatch()
    for page in (measurement_pages, certificate_page):
        for name in ("decays_svg", "change_svg"):
            if hasattr(page, name):
                patch.setattr(page, name, lambda *_: NO_DRAWING)
        if hasattr(page, "bars_picture"):
            patch.setattr(page, "bars_picture", lambda *_: Picture(svg=NO_DRAWING, alt="Bars."))
        plan = Picture(svg=NO_DRAWING, alt="Floor plan", caption="Seen from above.")
        patch.setattr(page, "plan_picture", lambda *_, plan=plan: plan)
    job, known = story(tmp_path_factory.mktemp("story-room"))
    made = [document for seed in range(RESULTS) for document in a_result(seed, job, known)]
    patch.undo()
    return made


@pytest.fixture(scope="module")
def letterhead(story: Story, tmp_path_factory: pytest.TempPathFactory) -> Any:
    return letterhead_of(story(tmp_path_factory.mktemp("letterhead"))[0])


class _Words(HTMLParser):
    """The text of a page's main part, with what stands in place of its pictures."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.parts: list[str] = []
        self.inside = self.again = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.inside = self.inside or tag == "main"
        # The same drawing once more, for a telephone in its place.
        self.again = self.again or ("class", "on-narrow") in attrs
        if self.again:
            return
        self.parts += [value or "" for name, value in attrs if name == "aria-label"]

    def handle_endtag(self, tag: str) -> None:
        self.inside = self.inside and tag != "main"
        self.again = self.again and tag != "div"

    def handle_data(self, data: str) -> None:
        if self.inside and not self.again:
            self.parts.append(data)


def typst_texts(plain: Any) -> Iterator[str]:
    """Every text of the blocks that the template prints."""
    if isinstance(plain, str):
        yield plain
    elif isinstance(plain, list):
        for item in plain:
            yield from typst_texts(item)
    elif isinstance(plain, dict) and plain.get("kind") == "Signature":
        yield from (plain["title"], plain["body"], *plain["who"])
        yield from [plain["date"]] * len(plain["who"])
    elif isinstance(plain, dict) and plain.get("kind") == "Said":
        yield from (f"“{plain['body']}”", plain["by"])
    elif isinstance(plain, dict):
        for name, value in plain.items():
            if name not in ("kind", "svg", "narrow", "tone", "align", "wide", "strong", "level"):
                yield from typst_texts(value)


def words(text: str) -> Counter[str]:
    parts = text.replace("\u00a0", " ").split()
    cleaned = ("".join(c for c in part if c not in MARKS) if set(part) <= MARKS else part
               for part in parts)  # fmt: skip
    return Counter(part for part in cleaned if part)


def test_terminal_page_and_paper_say_the_same(documents: list[Document], letterhead: Any) -> None:
    assert len(documents) == 2 * RESULTS
    for document in documents:
        terminal = words(text_of(document.blocks))
        telephone = words(" ".join(_Words(html_of(document, letterhead)).parts))
        blocks = plain_document(document, letterhead)["blocks"]
        paper = words(" ".join(typst_texts(blocks)))
        assert terminal == paper, document.name
        assert telephone == paper, document.name
        assert len(paper) > 100


def _tables(document: Document, head: str) -> Iterator[dict[str, str]]:
    for block in document.blocks:
        if isinstance(block, Table) and say(head) in block.heads:
            for row in block.rows:
                yield dict(zip(block.heads, row, strict=True))


@pytest.mark.parametrize(
    ("head", "value", "limits"),
    [
        ("head_limits", "head_t20", "head_limits"),
        ("head_kept", "head_after", "head_promise"),
    ],
)
def test_no_number_stands_on_the_wrong_side_of_its_limit(
    documents: list[Document], head: str, value: str, limits: str
) -> None:
    verdict = "head_verdict" if head == "head_limits" else "head_kept"
    outcomes: Counter[str] = Counter()
    for document in documents:
        for row in _tables(document, head):
            outcome, printed = row[say(verdict)], row[say(limits)]
            if not NUMBER.search(printed):
                continue
            number = float(row[say(value)])
            ends = [float(end) for end in NUMBER.findall(printed)]
            low = None if printed.startswith("≤") else ends[0]
            high = None if printed.startswith("≥") else ends[-1]
            over, under = high is not None and number > high, low is not None and number < low
            outcomes[outcome] += 1
            if outcome in (say("outcome_within"), say("word_kept")):
                assert not over and not under, row
            elif outcome == say("outcome_too long"):
                assert over, row
            elif outcome == say("outcome_too short"):
                assert under, row
            elif outcome == say("word_not kept"):
                assert over or under, row
    assert len(outcomes) >= 3
    assert min(outcomes.values()) > 20


def test_sentences_print_the_numbers_of_the_tables(story: Story, tmp_path: Path) -> None:
    known = story(tmp_path)[1]["verdict"]
    outcomes: Counter[Outcome] = Counter()
    for seed in range(RESULTS):
        rng = random.Random(seed)
        low_s, high_s = some_limits(rng)
        value_s = near(rng, rng.choice([end for end in (low_s, high_s) if end] or [0.5]))
        u_s = rng.choice((rng.uniform(0, 0.03), rng.uniform(0, 0.0003)))
        outcome = decide(value_s, u_s, low_s, high_s)
        mid = replace(
            known.mid, value_s=value_s, u_s=u_s, low_s=low_s, high_s=high_s, outcome=outcome
        )
        text = verdict_sentence(replace(known, mid=mid), Reader())
        assert seconds(value_s, low_s, high_s) in NUMBER.findall(text), text
        if outcome is Outcome.WITHIN:
            assert set(NUMBER.findall(limits(low_s, high_s, value_s))) <= set(NUMBER.findall(text))
        outcomes[outcome] += 1
    assert len(outcomes) == 5
    assert min(outcomes.values()) >= 10


def test_uncertainties_are_rounded_up(documents: list[Document]) -> None:
    # Twice 0.0101 s is 0.0202 s: to the nearest hundredth it would read 0.02.
    assert plus_minus(0.0101) == "±0.03"
    printed = {
        row[say("head_95")] for document in documents for row in _tables(document, "head_95")
    }
    assert printed
    assert all(re.fullmatch(r"±\d\.\d\d|–", text) for text in printed)
    assert "±0.00" not in printed


def test_the_test_would_see_a_renderer_that_rounds(documents: list[Document]) -> None:
    document = documents[0]
    changed = to_plain(document.blocks)
    text = " ".join(typst_texts(changed))
    number = next(n for n in NUMBER.findall(text) if "." in n)
    assert words(text) != words(text.replace(number, "9.99", 1))


def test_every_result_is_of_the_made_up_job(story: Story, tmp_path: Path) -> None:
    job, known = story(tmp_path)
    assert a_result(3, job, known) != a_result(4, job, known)
