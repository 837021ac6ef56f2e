"""The conditions of a visit, from a form."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import cast

from roomcheck.errors import RoomcheckError
from roomcheck.job import Job, Visit, VisitName, amend_job, percent_of, temperature_of

WORDS = ("doors", "hvac", "gain", "equipment", "notes")


def set_conditions(job: Job, visit: str, form: Mapping[str, str]) -> Job:
    """Write what was typed into the job; what is not right is said, and nothing is written.

    Raises
    ------
    RoomcheckError
    """
    old = job.visit(visit)
    temperature_c = temperature_of(form.get("temperature", ""))
    humidity = form.get("humidity", "").strip()
    humidity_pct = percent_of(humidity if humidity.endswith("%") else f"{humidity} %")
    people = form.get("people", "1").strip() or "1"
    wrong = []
    if temperature_c is None:
        wrong.append("temperature: a number with its unit, such as 70 F or 21 C")
    if humidity_pct is None:
        wrong.append("humidity: from 0 to 100, such as 45 %")
    if not (people.isascii() and people.isdecimal()):
        wrong.append("people: a whole number")
    if temperature_c is None or humidity_pct is None or wrong:
        raise RoomcheckError("; ".join(wrong))
    typed = Visit(
        name=cast(VisitName, visit),
        date=old.date if old else date.today().isoformat(),
        temperature_c=temperature_c,
        humidity_pct=float(humidity_pct),
        people=int(people),
        settings=old.settings if old else "",
        **{key: form.get(key, "").strip() for key in WORDS},
    )
    return amend_job(job.folder, visits=[typed])
