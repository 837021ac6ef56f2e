"""job.toml to a Job: every name, number and place checked, all mistakes reported together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import TypeVar, cast

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Room
from roomcheck.job.logo.looks import read_chosen
from roomcheck.job.logo.shop_words import read_job_words
from roomcheck.job.model.job import PAIRS_AFTER, SCHEMA, SURE_PCT, GradeName, Job, Paper, Units
from roomcheck.job.model.shop import Shop
from roomcheck.job.not_yet import NOT_YET
from roomcheck.job.progress.found import found_mistakes, with_found
from roomcheck.job.read import entries, pins
from roomcheck.job.read.floor_plan import read_room
from roomcheck.job.read.places import note_overlaps, note_repeats, read_positions
from roomcheck.job.read.shop_file import default_shop, read_shop, shop_path
from roomcheck.job.store.together import mend
from roomcheck.job.toml.disk import CannotRead
from roomcheck.job.toml.document import FileMistakes, Mistake, TomlFile
from roomcheck.job.toml.reader import TomlTable
from roomcheck.job.toml.regular import is_there
from roomcheck.job.toml.values import meant, shown
from roomcheck.standards.iso_3382_2_2008 import GRADES

T = TypeVar("T")


class NoJob(RoomcheckError):
    """A folder that holds no job."""

    def __init__(self, folder: Path, why: str, advice: str) -> None:
        self.folder, self.why = folder, why
        super().__init__(f"{folder}: {why}; {advice}")


def load_job(folder: Path | str) -> Job:
    """Read a job folder.

    Parameters
    ----------
    folder : Path or str
        Holds `job.toml`; and `shop.toml` once the job is quoted. Without one, the `shop.toml` in
        the folder above serves all jobs there, and without that the defaults.

    Returns
    -------
    Job
        In metres, degrees Celsius and percent. A floor plan typed clockwise is turned; its walls
        keep their names.

    Raises
    ------
    NoJob
        The folder or its `job.toml` is missing.
    CannotRead
        Not UTF-8 text, or unreadable.
    NewerFile
        Made by a newer roomcheck.
    FileMistakes
        Everything else that is wrong in either file, all of it, each with its line.
    """
    folder = Path(folder)
    mend(folder.absolute().parent)
    mend(folder)
    return job_from(TomlFile.read(job_path(folder), SCHEMA), folder)


def _units(document: TomlFile) -> Units:
    """The job's units as far as they can be told before it is read."""
    return "metric" if document.data.get("units") == "metric" else "imperial"


def job_from(document: TomlFile, folder: Path) -> Job:
    """The job that a document says, with the shop that serves its folder."""
    mistakes: list[Mistake] = []
    try:
        shop = read_shop(own) if (own := shop_path(folder)) else default_shop(_units(document))
    except FileMistakes as problem:
        shop, mistakes = default_shop(), list(problem.mistakes)
    job = _read_job(document, folder, shop)
    behind, wrong = found_mistakes(folder, None if job is None else job.room)
    found = [*document.found(), *mistakes, *wrong]
    if found or job is None:
        raise FileMistakes(str(folder), found)
    return replace(job, found=behind, framing=with_found(job.framing, behind))


def job_path(folder: Path) -> Path:
    """The folder's job.toml, once it is known to be there."""
    new = f'make one with: roomcheck new "{folder}"'
    try:
        if not folder.exists():
            raise NoJob(folder, "there is no such folder", new)
        if not folder.is_dir():
            if folder.name == "job.toml":
                raise NoJob(folder, "this is a file", f'name its folder: "{folder.parent}"')
            raise NoJob(
                folder, "this is a file, not a job folder", "name the folder that holds job.toml"
            )
        path = folder / "job.toml"
        if not is_there(path):
            raise NoJob(folder, "the folder holds no job.toml", new)
    except (OSError, ValueError) as problem:
        raise CannotRead(folder, f"cannot be looked into: {problem}") from problem
    return path


def _read_job(document: TomlFile, folder: Path, shop: Shop) -> Job | None:
    top = TomlTable.of(document)
    schema = top.whole("schema", least=1)
    units = top.choice("units", ("imperial", "metric"))
    paper = top.choice("paper", ("letter", "a4"))
    document.currency = top.text("currency", example="$") or None
    client = top.table("client")
    name, title = client.text("name"), client.text("title")
    complaint = client.text("complaint", "")
    address = client.text("address", "")
    client.close()
    number, offered_on = _offer(top)
    words = read_job_words(top.table("words", required=False), shop.words)
    shop = replace(shop, words=words)
    extras = entries.read_each(top, "extra", entries.read_extra)
    room_table = top.table("room")
    room = read_room(room_table)
    microphones = read_positions(top, "microphone", room)
    sources = read_positions(top, "source", room, microphones)
    patches = entries.read_each(top, "patch", lambda t: entries.read_patch(t, room))
    framing = entries.read_each(top, "framing", lambda t: entries.read_framing(t, room, schema))
    fixings = entries.read_each(top, "fixing", lambda t: entries.read_fixing(t, room))
    visits = entries.read_each(top, "visit", entries.read_visit)
    clear = entries.read_each(top, "keep_clear", lambda t: entries.read_keep_clear(t, room))
    note_overlaps(top, "patch", patches)
    for key, field in (("framing", "face"), ("fixing", "face"), ("visit", "name")):
        note_repeats(top, key, field)
    for key in ("patch", "keep_clear", "furnishing", "extra"):
        note_repeats(top, key, "name")
    materials = (
        entries.read_materials(room_table.table("materials"), room)
        if room_table.has("materials")
        else ()
    )
    furnishings = entries.read_each(top, "furnishing", lambda t: entries.read_furnishing(t, room))
    pinned = entries.read_each(top, "pin", lambda t: pins.read_pin(t, room, shop))
    forbids = entries.read_each(top, "forbid", lambda t: pins.read_forbid(t, room, shop))
    job = Job(
        folder=folder,
        made_up=top.flag("made_up", False),
        client=name,
        title=title,
        complaint=complaint,
        use=entries.read_use(top.table("use")),
        own_target=entries.read_target(top),
        units=cast(Units, units),
        paper=cast(Paper, paper),
        currency=document.currency or "",
        budget=top.money("budget", None),
        room=room or Room.box(1.0, 1.0, 1.0),
        materials=materials,
        patches=_whole(patches),
        keep_clear=_whole(clear),
        framing=_whole(framing),
        fixings=_whole(fixings),
        furnishings=_whole(furnishings),
        sources=_whole(sources),
        microphones=_whole(microphones),
        seat=_seat(top),
        visits=_whole(visits),
        shop=shop,
        pins=_whole(pinned),
        forbids=_whole(forbids),
        grade=cast(GradeName, top.choice("grade", [step.name for step in GRADES], "survey")),
        people_in_use=top.whole("people_in_use", None),
        sure_pct=_sure_pct(top),
        pairs_after=_pairs_after(top, len(_whole(sources)) * len(_whole(microphones))),
        client_address=address,
        offer_number=number,
        offer_date=offered_on,
        looks=read_chosen(top, shop),
        extras=_whole(extras),
    )
    top.close(NOT_YET)
    return None if document.mistakes else job


def _offer(top: TomlTable) -> tuple[str, str]:
    """Number and day of the offer, "" where the file does not say."""
    offer = top.table("offer", required=False)
    if offer.absent:
        return "", ""
    number = offer.text("number", "")
    day = offer.day("date") if offer.has("date") else ""
    offer.close()
    return number, day


def _sure_pct(top: TomlTable) -> int:
    sure = top.whole("sure_pct", 90)
    if sure not in SURE_PCT:
        top.note("sure_pct", f"`sure_pct` is {sure}; it is 80, 90 or 95: how surely a plan reaches")
    return sure


def _pairs_after(top: TomlTable, named: int) -> int | None:
    """At how many pairs the promise is measured again, of so many that the job names."""
    least, most = PAIRS_AFTER
    pairs = top.whole("pairs_after", None, least=least)
    if pairs is not None and pairs > most:
        top.note("pairs_after", f"`pairs_after` is {pairs}; it is {least} to {most}")
    elif pairs is not None and pairs > named > 1:  # a single pair is a job whose places follow
        top.note(
            "pairs_after",
            f"`pairs_after` is {pairs}, and the job's [[source]] and [[microphone]] places make "
            f"{named} pairs: name more places, or ask for fewer pairs",
        )
    return pairs


def _whole(items: Iterable[T | None]) -> tuple[T, ...]:
    return tuple(item for item in items if item is not None)


def _seat(top: TomlTable) -> str | None:
    if not top.has("seat"):
        top.raw("seat")
        return None
    seat = top.text("seat")
    names = [str(table.data.get("name")) for table in top.tables("microphone")]
    if seat and seat not in names:
        top.note(
            "seat", f"`seat` is {shown(seat)}, which is no [[microphone]]; {meant(seat, names)}"
        )
    return seat
