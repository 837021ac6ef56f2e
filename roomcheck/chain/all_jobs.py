"""One cutting plan over the jobs of a folder, kept beside them under a digest of what it was made
from."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from roomcheck.chain.inputs import digest
from roomcheck.chain.kept import Results
from roomcheck.chain.method import method_of
from roomcheck.errors import RoomcheckError
from roomcheck.job import Offcut, read_done, read_shop

if TYPE_CHECKING:
    from roomcheck.chain.results import Chain
    from roomcheck.workshop import CutTogether

_NAME = "all-jobs"
_BEGUN = ("buy", "rack", "bar", "stop", "sheet", "cloth")
"""Lists whose ticks say that a job is bought and cut by its own sheet."""


def begun(chain: Chain) -> bool:
    """Whether a job was begun by its own sheet: what is bought or cut is not planned again."""
    return any(tick.list in _BEGUN for tick in read_done(chain.job.folder).ticks)


def to_build(chain: Chain) -> bool:
    """Whether a job is signed and not done: not measured again, and not everything hangs."""
    if chain.agreed is None or chain.has_takes("after"):
        return False
    ticks = read_done(chain.job.folder).ticks
    hung = {tick.item.partition(",")[0] for tick in ticks if tick.list == "hung"}
    return not {piece.name for piece in chain.agreed.plan.pieces} <= hung


def work_all_jobs(folder: Path) -> None:
    """Work out every build sheet that waits, and the cutting plan over all jobs; jobs that cannot
    be read are left out.

    Raises
    ------
    RoomcheckError
        A part does not come out of the stock.
    """
    from roomcheck.chain.results import open_job

    groups: dict[str, dict[str, Chain]] = {}
    for path in sorted(folder.glob("*/job.toml")):
        with contextlib.suppress(RoomcheckError):
            chain = open_job(path.parent)
            if to_build(chain):
                chain.sheet  # noqa: B018 - asking for it works it out
                if not begun(chain):
                    groups.setdefault(chain.job.currency, {})[path.parent.name] = chain
    for chains in groups.values():
        if len(chains) > 1:
            work_together(folder, chains)


def rack_above(folder: Path, chains: Sequence[Chain]) -> tuple[Offcut, ...]:
    """What lies on the rack: by the shop's file that serves all jobs of the folder, else by those
    of the jobs, each offcut once."""
    from roomcheck.workshop import rack_of

    own = folder / "shop.toml"
    if own.is_file():
        return read_shop(own).offcuts
    return rack_of(chain.job for chain in chains)


def kept_together(folder: Path, chains: Mapping[str, Chain]) -> tuple[CutTogether, ...] | None:
    """The plan as it is kept; None where there is none of today's files, and nothing is computed.

    Parameters
    ----------
    folder : Path
        That holds the jobs.
    chains : mapping of str to Chain
        Signed jobs by the names of their folders, all of one currency.
    """
    from roomcheck.workshop import CutTogether

    chains = dict(sorted(chains.items()))
    rack = rack_above(folder, list(chains.values()))
    made_from = _made_from(chains, rack)
    return _results(folder).read(_key(chains), made_from, tuple[CutTogether, ...])


def work_together(folder: Path, chains: Mapping[str, Chain]) -> tuple[CutTogether, ...]:
    """The plan, worked out now where it is not kept; with every job's own build sheet.

    Raises
    ------
    RoomcheckError
        A part does not come out of the stock.
    """
    from roomcheck.workshop import CutTogether, cut_together

    chains = dict(sorted(chains.items()))
    built = {name: (chain.job, chain.sheet) for name, chain in chains.items()}
    kept = kept_together(folder, chains)
    if kept is not None:
        return kept
    rack = rack_above(folder, list(chains.values()))
    plan = cut_together(built, rack)
    made_from = _made_from(chains, rack)
    return _results(folder).write(_key(chains), made_from, tuple[CutTogether, ...], plan)


def _made_from(chains: Mapping[str, Chain], rack: Sequence[Offcut]) -> str:
    sheets = [(name, chain.sheet_from) for name, chain in chains.items()]
    return digest([sheets, list(rack), method_of("workshop")])


def _results(folder: Path) -> Results:
    return Results(folder=folder / "results")


def _key(chains: Mapping[str, Chain]) -> str:
    """One file a currency, which no file system need know the sign of."""
    currency = next(iter(chains.values())).job.currency if chains else ""
    return f"{_NAME}-{digest(currency)[:6]}"
