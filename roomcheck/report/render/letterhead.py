"""What stands on every page: who wrote it, for which job, and whether it is made up."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from roomcheck.job import Job
from roomcheck.words import LANGUAGE, say


@dataclass(frozen=True, slots=True, kw_only=True)
class Letterhead:
    """What every page of a job's documents shares.

    Attributes
    ----------
    author, footer, banner : str
        `banner` is empty for real jobs.
    paper : str
        As the typesetter calls it.
    day : tuple of int or None
        Year, month, day of the newest visit; stands in the file as its date.
    logo : bytes
        Of the shop; empty where it has none.
    logo_format : "svg", "png" or ""
    """

    author: str
    footer: str
    banner: str
    paper: str
    day: tuple[int, int, int] | None
    logo: bytes = b""
    logo_format: str = ""

    def plain(self) -> dict[str, Any]:
        return {
            "author": self.author,
            "footer": self.footer,
            "banner": self.banner,
            "paper": self.paper,
            "date": None if self.day is None else list(self.day),
            "logo": {"data": list(self.logo), "format": self.logo_format},
            "language": LANGUAGE,
            "words": {"page": say("page"), "of": say("of")},
        }


def letterhead_of(job: Job) -> Letterhead:
    """The job's letterhead."""
    days = sorted(
        visit.date for visit in job.visits if re.fullmatch(r"\d{4}-\d{2}-\d{2}", visit.date)
    )
    logo = job.shop.logo
    year, month, day = (int(part) for part in days[-1].split("-")) if days else (0, 0, 0)
    return Letterhead(
        author=" · ".join(filter(None, [job.shop.name, job.shop.address, job.shop.contact])),
        footer=" · ".join(filter(None, [job.title, job.client])),
        banner=say("made_up") if job.made_up else "",
        paper="us-letter" if job.paper == "letter" else "a4",
        day=(year, month, day) if days else None,
        logo=logo.read_bytes() if logo else b"",
        logo_format=logo.suffix[1:].lower() if logo else "",
    )
