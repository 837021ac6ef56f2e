"""Whatever the state of the job allows, written into its folder."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Literal

from roomcheck.analyse import Analysis
from roomcheck.errors import RoomcheckError
from roomcheck.job import Job, Put, scratch, write_together
from roomcheck.judge import Verdict
from roomcheck.measure import Measurement
from roomcheck.parts import OnPart, Parts
from roomcheck.quote import Agreement, ChangeOrder, Quote
from roomcheck.recommend import Plan
from roomcheck.report.figures.figures import draw_nothing
from roomcheck.report.offer.offered import Offered
from roomcheck.report.offer.proposal import proposal
from roomcheck.report.offer.quote_page import quote_page
from roomcheck.report.offer.unmended import not_mended, nothing_to_hang
from roomcheck.report.pages.certificate import certificate
from roomcheck.report.pages.measurement import measurement_report
from roomcheck.report.render.blocks import Document, NewPage, Picture, Player
from roomcheck.report.render.files import bands_csv, change_csv
from roomcheck.report.render.html import html_of, html_parts
from roomcheck.report.render.letterhead import Letterhead, letterhead_of
from roomcheck.report.render.names import (
    CERTIFICATE,
    MEASURED_AFTER,
    MEASURED_BEFORE,
    NOT_MENDED,
    NOTHING_TO_HANG,
    PROPOSAL,
    QUOTE,
    SHOP_SHEETS,
    UNSOLD,
    WALL_SHEETS,
)
from roomcheck.report.render.typst_page import pdf_of, source_of
from roomcheck.report.shop_pages.shop_files import label_files, piece_files
from roomcheck.report.shop_pages.shopsheets import shop_sheets
from roomcheck.report.shop_pages.unmeasured import wall_sheets
from roomcheck.report.sound.kept_ears import KEPT_EARS, packed
from roomcheck.report.sound.listening import Ears, ears_of, sound_files
from roomcheck.report.sound.tracks import player_inside
from roomcheck.verify import Verification
from roomcheck.words import say
from roomcheck.workshop import BuildSheet


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Case:
    """One job with the results of the stages, as far as they are known."""

    job: Job
    """Its folder gets the files."""
    before: Analysis | None = None
    after: Analysis | None = None
    verdict: Verdict | None = None
    """Of the visit before the work."""
    verdict_after: Verdict | None = None
    plans: tuple[Plan, ...] = ()
    """Those proposed."""
    quotes: tuple[Quote, ...] = ()
    """One for each of `plans`."""
    plan: Plan | None = None
    """The one to draw, with `sheet` and `quote`; where it is None, the signed one."""
    sheet: BuildSheet | None = None
    quote: Quote | None = None
    placed: BuildSheet | None = None
    """Of pieces that a person placed before anything was measured."""
    agreement: Agreement | None = None
    """As it holds, with its change orders."""
    changes: tuple[ChangeOrder, ...] = ()
    verification: Verification | None = None
    by_hand: tuple[str, ...] = ()
    """Signed files that no longer say what was signed."""
    responses: Sequence[Measurement] = ()
    """The takes behind `before`; files to listen to are made of them."""
    responses_after: Sequence[Measurement] = ()
    ears_from: str = ""
    """Digest of all that the files to listen to depend on; "" where nothing is to be kept of
    them."""
    ears: Ears | None = None
    """What is kept of them."""

    @property
    def chosen(self) -> Plan | None:
        """The plan to draw."""
        if self.plan is not None:
            return self.plan
        return None if self.agreement is None else self.agreement.plan

    @property
    def offer(self) -> Quote | None:
        """The price of the plan to draw."""
        if self.plan is not None:
            return self.quote
        return None if self.agreement is None else self.agreement.quote


def report(case: Case) -> tuple[Path, ...]:
    """Write every document and table that can be made of what is there.

    The job's folder gets `documents/*.pdf` and `*.html`, recordings to listen to, and
    `results/*.csv`; same case, same bytes.

    Returns
    -------
    tuple of Path
        The files written, documents first.

    Raises
    ------
    CannotWrite
        The folder cannot be written; nothing is half written.
    """
    folder = case.job.folder
    with scratch(folder) as aside:
        return write_files(folder, report_files(case, aside=aside))


Audience = Literal["client", "architect", "shop"]

AUDIENCES: dict[Audience, tuple[str, ...]] = {
    "client": (QUOTE, *UNSOLD, PROPOSAL, CERTIFICATE),
    "architect": (*UNSOLD, PROPOSAL, MEASURED_BEFORE, MEASURED_AFTER, CERTIFICATE),
    "shop": (SHOP_SHEETS, WALL_SHEETS, MEASURED_BEFORE, MEASURED_AFTER),
}
"""Which documents each gets: what a client decides on, what an architect checks, what is built."""
_GETS_DATA: Audience = "architect"
"""Who gets the measured values as tables too, to check them by."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Which documents are set; without anything said, all of them."""

    only: tuple[str, ...] = ()
    """Names of documents; empty for all."""
    audience: Audience | None = None
    source: bool = False
    """Whether the typesetter's own source is kept beside each, for changing it by hand."""

    def wants(self, name: str) -> bool:
        """Whether a document is asked for."""
        if self.only:
            return name in self.only
        return self.audience is None or name in AUDIENCES[self.audience]

    @property
    def everything(self) -> bool:
        """Whether no document is left out."""
        return not self.only and self.audience is None


class NoSuchDocument(RoomcheckError):
    """A document that is asked for by a name that the case does not make."""

    def __init__(self, name: str, made: tuple[str, ...]) -> None:
        self.name, self.made = name, made
        there = ", ".join(made) or "none yet"
        super().__init__(f"no document is called {name!r}; of this job there are: {there}")


ALL_DOCUMENTS = Choice()


Work = Sequence[Callable[[], Any]]
"""Pieces of work that do not depend on each other."""


def _in_turn(work: Work) -> Iterator[Any]:
    return (piece() for piece in work)


File = tuple[str, bytes | str | Path]
"""A file's path within the job's folder, and its content, or the file that holds it."""


def report_files(
    case: Case,
    choice: Choice = ALL_DOCUMENTS,
    on_part: OnPart | None = None,
    each: Callable[[Work], Iterable[Any]] = _in_turn,
    *,
    aside: Path,
) -> tuple[File, ...]:
    """Set what `report` writes.

    Parameters
    ----------
    case : Case
    choice : Choice
    on_part : callable or None
        Gets, after each part of the work but the last, how many are done, and of how many.
    each : callable
        Gives the results of pieces of work in their order; for several cores.
    aside : Path
        An empty folder: recordings and pages are laid down there, so that no process holds them.

    Raises
    ------
    NoSuchDocument
        One is asked for that cannot be made, or that has another name.
    """
    asked = _asked(case, choice)
    # Sound needs the most memory of all, so it is made before the typesetter holds any.
    plays = choice.everything or not asked.keys().isdisjoint(PLAYED_IN)
    # Copies need the drawing library made ready before them; one paper alone draws for itself.
    ready = [draw_nothing] if len(asked) > 1 else []
    work: list[Callable[[], Any]] = [*ready, *asked.values()]
    if plays:
        work.append(partial(_heard, case, aside))
    parts = Parts(on_part, len(work) + len(asked) + 1)
    made: list[Any] = []
    for result in each(work):
        made.append(result)
        parts.add()
    documents: list[Document] = made[len(ready) : len(ready) + len(asked)]
    heard: _Heard = made[-1] if plays else _Heard()
    letterhead = letterhead_of(case.job)
    files: list[File] = []
    if choice.source:
        for document in documents:
            files.append((f"documents/{document.name}.typ", source_of(document, letterhead)))
    pdfs = _pdfs(documents, letterhead, parts)
    files += [(f"documents/{one.name}.pdf", pdfs[one.name]) for one in documents]
    for document in documents:
        page = aside / f"{document.name}.html"
        played = _with_player(document, heard.player)
        with page.open("wb") as file:
            file.writelines(part.encode() for part in html_parts(played, letterhead))
        files.append((f"documents/{document.name}.html", page))
    if case.sheet is not None and any(document.name == SHOP_SHEETS for document in documents):
        more = (*label_files(case.job, case.sheet), *piece_files(case.job, case.sheet))
        files += [(f"shop/{name}", data) for name, data in more]
    if heard.kept is not None:
        files.append((KEPT_EARS, heard.kept))
    if choice.audience == _GETS_DATA:
        return (*files, *_tables(case))
    if not choice.everything:
        return tuple(files)
    recordings = [(f"documents/{name}", aside / name) for name in heard.names]
    return (*files, *_tables(case), *recordings)


def _pdfs(documents: Sequence[Document], letterhead: Letterhead, parts: Parts) -> dict[str, bytes]:
    """Each document's PDF, by name. The one with most drawings goes first: what the typesetter
    takes for it serves the others."""
    in_order = sorted(documents, key=_letters, reverse=True)
    pdfs: dict[str, bytes] = {}
    for document in in_order:
        pdfs[document.name] = pdf_of(document, letterhead)
        parts.add()
    return pdfs


def _letters(document: Document) -> int:
    """How long a document's drawings are, as text."""
    return sum(len(block.svg) for block in document.blocks if isinstance(block, Picture))


def offer_files(case: Case) -> tuple[tuple[str, bytes | str], ...]:
    """What a client decides on, as `report_files` sets it: the proposal and the quote, or why there
    is neither."""
    letterhead = letterhead_of(case.job)
    makers = () if case.before is None else _proposals(case, case.before)
    documents = [make() for _, make in makers]
    pdfs = [(f"documents/{one.name}.pdf", pdf_of(one, letterhead)) for one in documents]
    player = None
    if _heard_in(documents):
        with TemporaryDirectory(prefix="roomcheck-heard-") as aside:
            player = _heard(case, Path(aside)).player
    played = [_with_player(document, player) for document in documents]
    pages = [(f"documents/{one.name}.html", html_of(one, letterhead)) for one in played]
    return (*pdfs, *pages)


def write_files(folder: Path, files: Sequence[File]) -> tuple[Path, ...]:
    """Write files into a job's folder, all or none."""
    return write_together(folder, [Put(path=name, data=data) for name, data in files])


def lacking(case: Case) -> tuple[str, ...]:
    """Say of every document that `report` cannot make of the same case what it needs."""
    there = {
        "lack_before": case.before is not None,
        "lack_proposal": _can_propose(case),
        "lack_shop": None not in (case.chosen, case.sheet),
        "lack_after": case.after is not None,
        "lack_certificate": None not in (case.agreement, case.verification),
        "lack_listening": bool(case.responses or case.responses_after),
    }
    return tuple(say(key) for key, known in there.items() if not known)


def _can_propose(case: Case) -> bool:
    return None not in (case.before, case.verdict, case.chosen, case.offer)


def _asked(case: Case, choice: Choice) -> dict[str, Callable[[], Document]]:
    """What is asked for of everything that can be made: names, and what makes each, drawings
    included."""
    makers = dict(_makers(case))
    for name in choice.only:
        if name not in makers:
            raise NoSuchDocument(name, tuple(makers))
    return {name: make for name, make in makers.items() if choice.wants(name)}


def _makers(case: Case) -> Iterator[tuple[str, Callable[[], Document]]]:
    """Each document's name, and what makes it."""
    job, plan, sheet = case.job, case.chosen, case.sheet
    before, after = case.before, case.after
    if before is None and plan is None:
        yield WALL_SHEETS, lambda: wall_sheets(job, case.placed)
    if before is not None:
        yield (
            f"measurement-{before.visit}",
            lambda: measurement_report(job, before, case.verdict, case.responses),
        )
        yield from _proposals(case, before)
    if plan is not None and plan.pieces and sheet is not None:
        yield SHOP_SHEETS, lambda: shop_sheets(job, plan, sheet, case.offer)
    if after is not None:
        yield (
            f"measurement-{after.visit}",
            lambda: measurement_report(job, after, case.verdict_after),
        )
    if case.agreement is not None and case.verification is not None:
        yield CERTIFICATE, lambda: _certificate(case)


def _certificate(case: Case) -> Document:
    if case.agreement is None or case.verification is None:
        raise ValueError("case: no agreement or no verification, needed both")
    return certificate(
        case.job,
        case.agreement,
        case.verification,
        case.by_hand,
        before=case.verdict,
        after=case.verdict_after,
        hanging=() if case.sheet is None else case.sheet.hanging,
        changes=case.changes,
    )


def _proposals(case: Case, before: Analysis) -> Iterator[tuple[str, Callable[[], Document]]]:
    """The proposal and the quote, or why there is none to make; nothing where verdict, plan or
    price is lacking."""
    verdict, plan, offer = case.verdict, case.chosen, case.offer
    if verdict is None or plan is None or offer is None:
        return
    offered = Offered(
        job=case.job,
        before=before,
        verdict=verdict,
        plans=case.plans or (plan,),
        quotes=case.quotes or (offer,),
        plan=plan,
        quote=offer,
        sounds=bool(case.responses),
        signed=case.agreement if case.agreement and case.agreement.plan == plan else None,
    )
    if plan.pieces:
        yield PROPOSAL, lambda: proposal(offered)
        yield QUOTE, lambda: quote_page(offered)
    elif plan.reaches_target:
        yield NOTHING_TO_HANG, lambda: nothing_to_hang(offered)
    else:
        yield NOT_MENDED, lambda: not_mended(offered)


def _tables(case: Case) -> list[tuple[str, bytes | str]]:
    files: list[tuple[str, bytes | str]] = []
    for analysis in (case.before, case.after):
        if analysis is not None:
            files.append((f"results/bands-{analysis.visit}.csv", bands_csv(analysis)))
    if case.verification is not None:
        files.append(("results/verification.csv", change_csv(case.verification)))
    return files


PLAYED_IN = (PROPOSAL, CERTIFICATE)
"""Documents whose page has the player."""


def _heard_in(documents: Sequence[Document]) -> bool:
    return any(document.name in PLAYED_IN for document in documents)


def _with_player(document: Document, player: Player | None) -> Document:
    """A document with the rooms to listen to at the end of its first page, where there are any."""
    if document.name not in PLAYED_IN or player is None:
        return document
    blocks = document.blocks
    breaks = [i for i, block in enumerate(blocks) if isinstance(block, NewPage)]
    at = breaks[0] if breaks else len(blocks)
    return replace(document, blocks=(*blocks[:at], player, *blocks[at:]))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Heard:
    """What there is to listen to."""

    names: tuple[str, ...] = ()
    """Files in the folder that they were laid down in."""
    player: Player | None = None
    kept: Path | None = None
    """What both ears get, to be kept; None where it is."""


def _heard(case: Case, aside: Path) -> _Heard:
    """Lay the files to listen to down in a folder."""
    ears, kept = case.ears, None
    if ears is None:
        visits = case.responses, case.responses_after
        ears = ears_of(case.job, *visits, case.before, case.chosen)
        if ears is None:
            return _Heard()
        if case.ears_from:
            kept = aside / "ears"
            kept.write_bytes(packed(ears, case.ears_from))
    names = sound_files(ears, aside)
    return _Heard(names=names, player=player_inside(aside, say("player_title")), kept=kept)
