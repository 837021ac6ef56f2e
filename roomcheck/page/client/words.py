"""An offer's own words, edited in place: what stands there, and a form turned into one change."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from roomcheck.job import (
    Edit,
    Job,
    ShopWords,
    default_shop,
    edit_job,
    file_values,
    read_shop,
    shop_path,
    spelt,
)
from roomcheck.page.places.room import edited
from roomcheck.words import say


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One text of the offer."""

    way: str
    """Keys of the job's file, joined by dots: "words.greeting"."""
    label: str
    value: str
    """As the client reads it."""
    was: str
    """As the job's file spells it; "" where the shop's own words stand."""
    long: bool = False
    such: str = ""
    """An example."""

    @property
    def key(self) -> str:
        """A name for the page's own use."""
        return self.way.replace(".", "-")

    @property
    def own(self) -> bool:
        """Whether the job says it in words of its own."""
        return bool(self.was)


_ROWS = (
    ("client.complaint", "What they told you, in their own words", True, ""),
    ("client.address", "The client's address", False, "3 Harbour Street, Ourtown"),
    ("offer.number", "Number of the offer", False, "2026-014"),
    ("offer.date", "Day of the offer", False, "2026-05-11"),
    ("words.greeting", "First sentence", True, "Thank you for asking us into your room."),
    ("words.exclusions", "Not included, one a line", True, ""),
    ("words.remedy", "What you do if the promise is not kept", True, ""),
    ("words.care", "How the pieces are cared for", True, ""),
    ("words.payment", "How it is paid", True, ""),
)
LISTS = ("words.exclusions",)


def offer_words(job: Job) -> tuple[Words, ...]:
    """Every text that the offer's pages take from a person."""
    values = file_values(job.folder)
    usual = _usual(job)
    found = []
    for way, label, long, such in _ROWS:
        table, _, key = way.partition(".")
        own = values.get(table, {}).get(key)
        was = "\n".join(map(str, own)) if way in LISTS and own else spelt(own) or ""
        found.append(
            Words(way=way, label=label, value=was or usual[way], was=was, long=long, such=such)
        )
    return tuple(found)


def _usual(job: Job) -> dict[str, str]:
    """What stands there where the job says nothing of its own."""
    shop = _shop_words(job)
    return {
        **{way: "" for way, *_ in _ROWS},
        "words.greeting": shop.greeting,
        "words.exclusions": "\n".join(shop.exclusions),
        "words.remedy": shop.remedy or say("acc_remedy_says"),
        "words.care": shop.care or say("care_says"),
        "words.payment": shop.payment or job.shop.rates.terms,
    }


def _shop_words(job: Job) -> ShopWords:
    own = shop_path(job.folder)
    return (read_shop(own) if own else default_shop(job.units)).words


def save_words(folder: Path, job: Job, way: str, value: str, was: str | None) -> Job:
    """Set one text; what is emptied, or is as the shop says it anyway, leaves the job's file.

    Parameters
    ----------
    was : str or None
        What the job's file said when somebody began to type; None where nobody looked.

    Raises
    ------
    NotSaved
        What was typed cannot stand there.
    KeyError
        The way is none of the offer's.
    """
    usual = _usual(job)[way]
    text = "\n".join(line.strip() for line in value.strip().splitlines())
    own = None if text in ("", usual) else text
    steps = tuple(way.split("."))
    if way in LISTS and own is not None:
        return edited(folder, [Edit(steps, [line for line in own.split("\n") if line])], way)
    if steps == ("client", "complaint"):
        return edited(folder, [Edit(steps, text, was)], way)
    return edited(folder, [Edit(steps, own, was if way not in LISTS else None)], way)


def tick_extra(folder: Path, number: int, *, taken: bool) -> Job:
    """Take an option of the offer, or leave it."""
    return edit_job(folder, [Edit(("extra", str(number), "taken"), "yes" if taken else "no")])


def add_extra(folder: Path, name: str, cost: str) -> Job:
    """Offer one more option, not taken yet.

    Raises
    ------
    NotSaved
    """
    return edited(folder, [Edit(("extra",), {"name": name, "cost": cost})], "extra.cost")


def drop_extra(folder: Path, number: int) -> Job:
    """Offer an option no longer."""
    return edit_job(folder, [Edit(("extra", str(number)), None)])


def choose_look(folder: Path, job: Job, piece: str, cloth: bool, name: str) -> Job:
    """Choose a cloth, or a stain or paint, for one kind of piece; "" takes the choice back.

    Raises
    ------
    NotSaved
    """
    before = [
        i
        for i, chosen in enumerate(job.looks, 1)
        if chosen.piece == piece and (chosen.look.kind == "cloth") == cloth
    ]
    edits = [Edit(("look", str(i)), None) for i in reversed(before)]
    if name:
        edits.append(Edit(("look",), {"look": name, "piece": piece}))
    return edited(folder, edits, "look")
