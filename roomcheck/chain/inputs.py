"""What each stage reads of a job; a change of anything else leaves its results as they are."""

from __future__ import annotations

import contextlib
import hashlib
import json
from collections.abc import Iterable, Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

from roomcheck.errors import RoomcheckError
from roomcheck.job import Job, noise_facts, noise_files, visit_files
from roomcheck.plain import to_plain

_PLACES = ("room", "sources", "microphones")
_SURFACES = ("materials", "patches")
_COSTS = (
    "bench_hours_week",
    "consumables",
    "contingency_pct",
    "disposal",
    "hour",
    "lead_weeks",
    "margin_pct",
    "minimum_job",
    "subcontract",
    "survey_fee",
    "survey_hours",
    "tax_pct",
    "travel",
    "verify_hours",
)

READS: dict[str, frozenset[str]] = {
    "measure": frozenset({*_PLACES, "pairs_after", "visits"}),
    "analyse": frozenset({*_PLACES, *_SURFACES, "grade", "pairs_after", "visits"}),
    "judge": frozenset(
        {*_PLACES, "own_target", "patches", "people_in_use", "seat", "use", "visits"}
    ),
    "predict": frozenset(
        {*_PLACES, *_SURFACES, "furnishings", "own_target", "pairs_after", "people_in_use", "seat"}
        | {"shop.model_learned", "shop.scatter_learned", "shop.stock", "use", "visits"}
    ),
    "recommend": frozenset(
        {*_PLACES, *_SURFACES, "budget", "currency", "fixings", "forbids", "framing", "keep_clear"}
        | {"own_target", "pairs_after", "pins", "seat", "shop.practice", "shop.prices"}
        | {"shop.stock", "sure_pct", "units", "use"}
        | {f"shop.rates.{rate}" for rate in _COSTS}
    ),
    "workshop": frozenset(
        {"fixings", "found", "framing", "keep_clear", "looks", "patches", "room", "units"}
        | {"shop.fabric_roll_m", "shop.kerf_m", "shop.offcuts", "shop.practice"}
        | {"shop.prices", "shop.stock"}
    ),
    "quote": frozenset(
        {"extras", "framing", "looks"}
        | {
            f"shop.rates.{rate}"
            for rate in _COSTS
            if rate not in ("bench_hours_week", "lead_weeks")
        }
        | {f"shop.rates.{rate}" for rate in ("delivery_pct", "deposit_pct", "tax_rounding")}
        | {"shop.rates.taxed", "shop.rates.valid_days"}
    ),
    "report/sound": frozenset({*_PLACES, *_SURFACES, "seat", "shop.stock", "visits"}),
    "verify": frozenset({"furnishings", "room", "shop.stock", "visits"}),
}
"""Per stage the fields of the job that it reads, those of the shop and its rates one by one.

The job's folder is not among them: where a job lies changes no result, and the recordings in it
count by their content.
"""


def digest(value: object) -> str:
    """SHA-256 of a value's plain form."""
    return digest_of_plain(to_plain(value))


def digest_of_plain(plain: object) -> str:
    """The same of what is plain already."""
    text = json.dumps(plain, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def job_inputs(job: Job, stages: Iterable[str], visit: str | None = None) -> dict[str, Any]:
    """What these stages read of a job, by the field's name.

    Parameters
    ----------
    job : Job
    stages : iterable of str
    visit : str or None
        The one visit whose conditions count; None for all.
    """
    fields = frozenset[str]().union(*(READS[stage] for stage in stages))
    inputs = {name: _value(job, name) for name in sorted(fields)}
    if visit is not None and "visits" in inputs:
        inputs["visits"] = job.visit(visit)
    return inputs


def all_of(job: Job) -> dict[str, Any]:
    """The whole job as documents show it: logo and photographs by their content, and no folder."""
    plain: dict[str, Any] = to_plain(job)
    del plain["folder"]
    logo = job.shop.logo
    plain["shop"]["logo"] = None if logo is None else file_digest(logo)
    photos = sorted((job.folder / "photos").glob("*.*"))
    if photos:
        plain["photos"] = [(path.name, file_digest(path)) for path in photos]
    return plain


def takes_digest(job: Job, visit: str) -> str:
    """Of every recording of a visit and what lies beside it, by content.

    A recording that is not there, in a job that was unpacked without its recordings, counts by what
    its facts say of its content, so that the results made from it still stand.
    """
    takes = job.folder / "takes"
    contents = dict(_recorded(job, visit))
    for folder in (takes / visit, takes / "played", takes / "microphone"):
        for path in folder.rglob("*"):
            way = path.relative_to(takes)
            if path.is_file() and not _hidden(way) and "whole" not in way.parts:
                contents[way.as_posix()] = _digest_once(path)
    return digest(sorted(contents.items()))


def _recorded(job: Job, visit: str) -> Iterator[tuple[str, str]]:
    """Paths within `takes` and digests of a visit's recordings, by their facts."""
    for take in visit_files(job.folder, visit).takes:
        if take.facts.file:
            yield f"{visit}/{take.facts.file}", take.facts.sha256
    noise = job.folder / "takes" / visit / "noise"
    for path in (*noise_files(noise, "noise"), *noise_files(noise, "calibrator")):
        with contextlib.suppress(RoomcheckError):
            facts = noise_facts(path)
            yield f"{visit}/noise/{facts['file']}", facts["sha256"]


def file_digest(path: Path) -> str:
    """SHA-256 of a file's content; "none" where it cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return "none"


def _digest_once(path: Path) -> str:
    """The same, read once while the file is not touched: a visit's recordings are large, and are
    asked for before and after they are analysed."""
    try:
        seen = path.stat()
    except OSError:
        return "none"
    return _content(path, seen.st_ino, seen.st_size, seen.st_mtime_ns, seen.st_ctime_ns)


@lru_cache(maxsize=2000)
def _content(path: Path, *_: int) -> str:
    return file_digest(path)


def _hidden(path: Path) -> bool:
    """Recordings that are not judged yet and drafts of files begin with a dot."""
    return any(part.startswith(".") for part in path.parts)


def _value(job: Job, name: str) -> Any:
    value: Any = job
    for part in name.split("."):
        value = getattr(value, part)
    return value
