"""Words of every page."""

from __future__ import annotations

EVERY_PAGE: dict[str, str] = {
    "made_up": "MADE UP: a demonstration. No such room, client or shop exists.",
    "page": "page",
    "of": "of",
    "job": "Job",
    "client": "Client",
    "date": "Date",
    "today": "the room today",
    "before": "before",
    "after": "after",
    "yes": "yes",
    "no": "no",
    "nothing_noted": "not noted",
    "the_mean": "the mean decay",
    "mean_of": "mean of {bands}",
    "scale": "Scale {scale} when printed at 100 %.",
}
