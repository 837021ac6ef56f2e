"""The conditions of a visit, from a form."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, cast

from roomcheck.errors import RoomcheckError
from roomcheck.job import Job, Visit, VisitName, amend_job
from roomcheck.typed import parse_percent, parse_temperature

WORDS = ("doors", "hvac", "gain", "equipment", "notes")


def set_conditions(job: Job, visit: str, form: Mapping[str, str]) -> Job:
    """Write what was typed into the job; what is not right is said, and nothing is written.

    Raises
    ------
    RoomcheckError
    """
    old = job.visit(visit)
    people = form.get("people", "").strip() or "1"
    if not (people.isascii() and people.isdecimal()):
        raise RoomcheckError(f"people: {people!r} is no whole number")
    words: dict[str, Any] = {key: form.get(key, "").strip() for key in WORDS}
    typed = Visit(
        name=cast(VisitName, visit),
        date=old.date if old else date.today().isoformat(),
        temperature_c=parse_temperature(form.get("temperature", "")),
        humidity_pct=float(parse_percent(form.get("humidity", ""))),
        people=int(people),
        settings=old.settings if old else "",
        omnidirectional=old is not None and old.omnidirectional,
        serials=old.serials if old else "",
        **words,
    )
    return amend_job(job.folder, visits=[typed])
