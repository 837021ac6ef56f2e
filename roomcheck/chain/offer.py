"""What a client is shown before the signature: the papers of one plan, as they are sent."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from roomcheck.chain.documents import Manifest, case_of
from roomcheck.chain.inputs import digest, file_digest
from roomcheck.chain.kept import file_of
from roomcheck.chain.layouts import kept_drawn, kept_plan
from roomcheck.chain.steps import Activity
from roomcheck.job import Put, digest_of, read_layouts, write_together

if TYPE_CHECKING:
    from roomcheck.chain.results import Chain

_NAME = "offer"


def priced_again(chain: Chain) -> bool:
    """Price the plans that are kept at today's prices; False where the plans themselves must be
    worked out first, which takes longer."""
    if chain.kept_found() is None:
        return False
    newest = read_layouts(chain.job.folder)[-1:]
    if any(kept_plan(chain, layout) is None for layout in newest):
        return False
    return bool(chain.quotes)


def kept_offer(chain: Chain) -> tuple[Path, ...] | None:
    """The papers of the chosen plan as they lie in the job's folder; None where they show something
    else than what is offered now, and nothing is computed."""
    if chain.kept_plans() is None or _undrawn(chain):
        return None
    folder = chain.job.folder
    kept = chain.results.read(_NAME, _made_from(chain), Manifest)
    if kept is None or any(file_digest(folder / name) != sha for name, sha in kept.files):
        return None
    return tuple(folder / name for name, _ in kept.files)


def set_offer(chain: Chain) -> tuple[Path, ...]:
    """Set the papers that a client decides on, PDF and page; the others stay as they are.

    Raises
    ------
    CannotWrite
    """
    from roomcheck.report import offer_files

    kept = kept_offer(chain)
    if kept is not None:
        return kept
    case = case_of(chain)
    with chain.steps.step(Activity.REPORT):
        files = offer_files(case)
    named = tuple((name, digest_of(data)) for name, data in files)
    manifest = file_of(_NAME, _made_from(chain), Manifest(files=named, lacking=()))
    return _written(chain.job.folder, files, manifest)


def _written(
    folder: Path, files: Sequence[tuple[str, bytes | str]], manifest: str
) -> tuple[Path, ...]:
    puts = [Put(path=name, data=data) for name, data in files]
    *written, _ = write_together(folder, [*puts, Put(path=f"results/{_NAME}.json", data=manifest)])
    return tuple(written)


def _made_from(chain: Chain) -> str:
    return digest([_NAME, chain.documents_from])


def _undrawn(chain: Chain) -> bool:
    """Whether pieces that somebody placed are still to be worked out."""
    newest = () if chain.agreement is not None else read_layouts(chain.job.folder)[-1:]
    return any(kept_drawn(chain, layout) is None for layout in newest)
