"""What stands on every page: who wrote it, for which job, and whether it is made up."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Any

from roomcheck.job import Job, logo_data
from roomcheck.words import LANGUAGE, say

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
INK = "#18242b"
"""What is printed in no colour of the shop's own."""
_PAPERS = {"letter": "us-letter", "a4": "a4"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Letterhead:
    """What every page of a job's documents shares."""

    author: str
    footer: str
    banner: str
    """Empty for real jobs."""
    paper: str
    """As the typesetter calls it."""
    day: tuple[int, int, int] | None
    """Year, month, day of the newest visit; stands in the file as its date."""
    logo: bytes = b""
    """Of the shop; empty where it has none."""
    logo_format: str = ""
    """"svg", "png" or empty."""
    colour: str = ""
    """Of heads and rules, "#rrggbb"; empty for the usual ink."""

    def plain(self) -> dict[str, Any]:
        return {
            "author": self.author,
            "footer": self.footer,
            "banner": self.banner,
            "paper": self.paper,
            "date": None if self.day is None else list(self.day),
            "logo": {"data": list(self.logo), "format": self.logo_format},
            "colour": self.colour or INK,
            "language": LANGUAGE,
            "words": {"page": say("page"), "of": say("of")},
        }


def letterhead_of(job: Job) -> Letterhead:
    """The job's letterhead."""
    letterhead = Letterhead(
        author=_beside(job.shop.name, job.shop.address, job.shop.contact),
        footer=_beside(job.title, job.client),
        banner=say("made_up") if job.made_up else "",
        paper=_PAPERS[job.paper],
        day=_newest_day(job),
        colour=job.shop.words.colour,
    )
    logo = job.shop.logo
    if not logo:
        return letterhead
    return replace(letterhead, logo=logo_data(logo), logo_format=logo.suffix[1:].lower())


def _beside(*parts: str) -> str:
    return " · ".join(filter(None, parts))


def _newest_day(job: Job) -> tuple[int, int, int] | None:
    days = sorted(visit.date for visit in job.visits if _DAY.fullmatch(visit.date))
    if not days:
        return None
    year, month, day = days[-1].split("-")
    return int(year), int(month), int(day)
