"""Whatever the state of the job allows, written into its folder."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from roomcheck.analyse import Analysis
from roomcheck.job import Job, make_folder, write_atomically
from roomcheck.judge import Verdict
from roomcheck.measure import Measurement
from roomcheck.quote import Agreement, Quote
from roomcheck.recommend import Plan
from roomcheck.report.pages.certificate import certificate
from roomcheck.report.pages.measurement import measurement_report
from roomcheck.report.pages.proposal import proposal
from roomcheck.report.render.blocks import Document
from roomcheck.report.render.files import bands_csv, change_csv, json_of
from roomcheck.report.render.html import html_of
from roomcheck.report.render.letterhead import letterhead_of
from roomcheck.report.render.typst_page import pdf_of
from roomcheck.report.shop_pages.shopsheets import shop_sheets
from roomcheck.report.sound.listening import listening_files
from roomcheck.verify import Verification
from roomcheck.words import say
from roomcheck.workshop import BuildSheet


def report(
    job: Job,
    *,
    before: Analysis | None = None,
    after: Analysis | None = None,
    verdict: Verdict | None = None,
    verdict_after: Verdict | None = None,
    plans: Sequence[Plan] = (),
    plan: Plan | None = None,
    sheet: BuildSheet | None = None,
    quotes: Sequence[Quote] = (),
    quote: Quote | None = None,
    agreement: Agreement | None = None,
    verification: Verification | None = None,
    responses: Sequence[Measurement] = (),
    responses_after: Sequence[Measurement] = (),
) -> tuple[Path, ...]:
    """Every document and result file that can be made of what is there.

    Parameters
    ----------
    job : Job
        Its folder gets `documents/*.pdf` and `*.html`, `results/*.json` and `results/*.csv`; same
        job, same bytes.
    before, after, verdict, verdict_after, plans, plan, sheet, quotes, quote, agreement,
    verification : optional
        Results of the stages, as far as they are known. `plan` with `sheet` and `quote` is the one
        to draw; where it is missing, the signed one is taken, else the second of `plans`.
    responses, responses_after : sequence of Measurement
        The takes behind `before` and `after`; the files to listen to are made of them.

    Returns
    -------
    tuple of Path
        The files written, documents first.

    Raises
    ------
    CannotWrite
        The folder cannot be written; nothing is half written.
    """
    chosen, offer = _chosen(plans, plan, quotes, quote, agreement)
    documents: list[Document] = []
    if before is not None:
        documents.append(measurement_report(job, before, verdict, responses))
    if before is not None and verdict is not None and chosen is not None and offer is not None:
        documents.append(
            proposal(job, before, verdict, plans or (chosen,), quotes or (offer,), chosen, offer)
        )
    if chosen is not None and sheet is not None:
        documents.append(shop_sheets(job, chosen, sheet, offer))
    if after is not None:
        documents.append(measurement_report(job, after, verdict_after))
    if agreement is not None and verification is not None:
        documents.append(certificate(job, agreement, verification))
    letterhead = letterhead_of(job)
    files: list[tuple[str, bytes | str]] = [
        (f"documents/{document.name}.pdf", pdf_of(document, letterhead)) for document in documents
    ]
    files += [
        (f"documents/{document.name}.html", html_of(document, letterhead)) for document in documents
    ]
    results = {
        "analysis-before": before,
        "analysis-after": after,
        "verdict": verdict,
        "verdict-after": verdict_after,
        "plans": tuple(plans) or None,
        "plan": chosen,
        "build-sheet": sheet,
        "quotes": tuple(quotes) or None,
        "quote": offer,
        "verification": verification,
    }
    files += [
        (f"results/{name}.json", json_of(name, result))
        for name, result in results.items()
        if result is not None
    ]
    files += [
        (f"results/bands-{visit.visit}.csv", bands_csv(visit))
        for visit in (before, after)
        if visit is not None
    ]
    if verification is not None:
        files.append(("results/verification.csv", change_csv(verification)))
    foreseen = chosen.prediction if chosen else None
    files += [
        (f"documents/{name}", data)
        for name, data in listening_files(job, responses, responses_after, before, foreseen)
    ]
    return tuple(_write(job.folder / name, data) for name, data in files)


def lacking(
    job: Job,
    *,
    before: Analysis | None = None,
    after: Analysis | None = None,
    verdict: Verdict | None = None,
    verdict_after: Verdict | None = None,
    plans: Sequence[Plan] = (),
    plan: Plan | None = None,
    sheet: BuildSheet | None = None,
    quotes: Sequence[Quote] = (),
    quote: Quote | None = None,
    agreement: Agreement | None = None,
    verification: Verification | None = None,
    responses: Sequence[Measurement] = (),
    responses_after: Sequence[Measurement] = (),
) -> tuple[str, ...]:
    """One sentence for every document that `report` could not make of the same arguments, and what
    it needs."""
    chosen, offer = _chosen(plans, plan, quotes, quote, agreement)
    facts = (
        ("lack_before", before is not None),
        ("lack_proposal", None not in (before, verdict, chosen, offer)),
        ("lack_shop", None not in (chosen, sheet)),
        ("lack_after", after is not None),
        ("lack_certificate", None not in (agreement, verification)),
        ("lack_listening", bool(responses or responses_after)),
    )
    return tuple(say(key) for key, there in facts if not there)


def _chosen(
    plans: Sequence[Plan],
    plan: Plan | None,
    quotes: Sequence[Quote],
    quote: Quote | None,
    agreement: Agreement | None,
) -> tuple[Plan | None, Quote | None]:
    if plan is not None:
        return plan, quote
    if agreement is not None:
        return agreement.plan, agreement.quote
    number = min(1, len(plans) - 1)
    return (plans[number] if plans else None), (
        quotes[number] if 0 <= number < len(quotes) else None
    )


def _write(path: Path, data: bytes | str) -> Path:
    make_folder(path.parent)
    write_atomically(path, data)
    return path
