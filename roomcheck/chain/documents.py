"""The documents of a job, set again only where something in them changed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any, overload

from roomcheck.chain.inputs import digest, file_digest, job_inputs
from roomcheck.chain.kept import Results, file_of
from roomcheck.chain.method import method_of
from roomcheck.chain.steps import Activity
from roomcheck.chain.two_cores import side_by_side
from roomcheck.job import Put, digest_of, scratch, write_together

if TYPE_CHECKING:
    from roomcheck.chain.results import Chain
    from roomcheck.measure import Measurement
    from roomcheck.report import Case, Choice


_SET_AS = (".pdf", ".html")
"""Endings of what every run sets."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Documents:
    """What lies in the job's folder for people to read and hear."""

    files: tuple[Path, ...]
    """Documents first, then tables for other programs and recordings to listen to."""
    lacking: tuple[str, ...]
    """One sentence for every document that cannot be made yet, and what it needs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """The files as they were written."""

    files: tuple[tuple[str, str], ...]
    """Path within the job's folder, and SHA-256."""
    lacking: tuple[str, ...]


def set_some(chain: Chain, choice: Choice) -> Documents:
    """Set the documents that are asked for, anew; the others stay as they are.

    Raises
    ------
    CannotWrite, NoSuchDocument
    """
    from roomcheck.report import lacking, report_files, write_files

    case = case_of(chain)
    parts = chain.steps.parts(Activity.REPORT)
    with scratch(chain.job.folder) as aside:
        with chain.steps.step(Activity.REPORT):
            files = report_files(case, choice, parts, side_by_side, aside=aside)
        written = write_files(chain.job.folder, files)
    return Documents(files=_to_read(chain.job.folder, written), lacking=lacking(case))


def set_documents(chain: Chain) -> Documents:
    """Set every document that the job allows, or find them as they were set.

    One that was set before and is no longer made, as a proposal for a room that turned out to be
    fine, is taken away where nobody changed it.

    Raises
    ------
    CannotWrite
        The folder cannot be written; no file is half written.
    """
    folder = chain.job.folder
    results = Results(folder=folder / "results")
    kept = results.read("documents", chain.documents_from, Manifest)
    if kept is not None and all(file_digest(folder / name) == sha for name, sha in kept.files):
        return Documents(files=tuple(folder / name for name, _ in kept.files), lacking=kept.lacking)
    from roomcheck.measure import give_back
    from roomcheck.report import KEPT_EARS, lacking, report_files

    before = results.last("documents", Manifest)
    case = case_of(chain)
    chain.forget_site()
    give_back()
    lacks = lacking(case)
    parts = chain.steps.parts(Activity.REPORT)
    with scratch(folder) as aside:
        with chain.steps.step(Activity.REPORT):
            files = report_files(case, on_part=parts, each=partial(_drawn, chain), aside=aside)
        named = tuple((name, _digest(data)) for name, data in files if name != KEPT_EARS)
        manifest = file_of("documents", chain.documents_from, Manifest(files=named, lacking=lacks))
        puts = [Put(path=name, data=data) for name, data in files]
        puts.append(Put(path="results/documents.json", data=manifest))
        *written, _ = write_together(folder, puts)
    if before is not None:
        _take_away(folder, before, {name for name, _ in files})
    return Documents(files=_to_read(folder, written), lacking=lacks)


def _drawn(chain: Chain, work: Sequence[Callable[[], Any]]) -> Iterator[Any]:
    """What is drawn and heard; what it was made from is let go of before it is typeset."""
    from roomcheck.measure import give_back

    yield from side_by_side(work)
    chain.forget_takes()
    give_back()


def _digest(data: bytes | str | Path) -> str:
    return file_digest(data) if isinstance(data, Path) else digest_of(data)


def _to_read(folder: Path, written: Sequence[Path]) -> tuple[Path, ...]:
    """Those of the files that are for people."""
    from roomcheck.report import KEPT_EARS

    return tuple(path for path in written if path != folder / KEPT_EARS)


def _take_away(folder: Path, before: Manifest, made: set[str]) -> None:
    """Remove the documents of an earlier run that are no longer made, as nobody changed them."""
    for name, sha in before.files:
        way = PurePosixPath(name)
        ours = way.parent == PurePosixPath("documents") and way.suffix in _SET_AS
        if ours and name not in made and file_digest(folder / way) == sha:
            (folder / way).unlink(missing_ok=True)


class _Takes(Sequence["Measurement"]):
    """The takes of a visit that was analysed, read when a document shows or plays one."""

    def __init__(self, read: Callable[[], tuple[Measurement, ...]]) -> None:
        self._read = read

    def __bool__(self) -> bool:
        return True

    def __len__(self) -> int:
        return len(self._read())

    @overload
    def __getitem__(self, at: int) -> Measurement: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[Measurement, ...]: ...
    def __getitem__(self, at: int | slice) -> Measurement | tuple[Measurement, ...]:
        return self._read()[at]


def _ears_from(chain: Chain) -> str:
    """A digest of all that both ears get at the seat depends on."""
    visits = [visit for visit in ("before", "after") if chain.has_takes(visit)]
    heard = [chain.analysis_from(visit) for visit in visits]
    inputs = job_inputs(chain.job, ("report/sound",))
    plan = chain.plan
    return digest([heard, inputs, plan.pieces, plan.prediction, method_of("report")])


def case_of(chain: Chain) -> Case:
    """Collect the results that the state of the job allows."""
    from roomcheck.report import Case, kept_ears

    if not chain.has_takes("before"):
        if chain.agreed is not None:
            return Case(job=chain.job, agreement=chain.agreed)
        return Case(job=chain.job, placed=chain.placed_sheet)
    ears_from = _ears_from(chain)
    case = Case(
        job=chain.job,
        ears_from=ears_from,
        ears=kept_ears(chain.job.folder, ears_from),
        before=chain.before,
        responses=_Takes(lambda: chain.before_takes),
        verdict=chain.verdict,
        plans=tuple(offer.plan for offer in chain.offered),
        quotes=tuple(offer.quote for offer in chain.offered),
        plan=chain.plan,
        sheet=chain.sheet,
        quote=chain.quote,
        agreement=chain.agreed,
        changes=chain.changes,
    )
    if chain.agreement is None or not chain.has_takes("after"):
        return case
    return replace(
        case,
        after=chain.after,
        verdict_after=chain.verdict_after,
        verification=chain.verification,
        by_hand=tuple(f"signed/{path.name}" for path in chain.changed_by_hand),
        responses_after=_Takes(lambda: chain.after_takes),
    )
