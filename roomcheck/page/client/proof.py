"""Whether the promise is kept: the second visit as the first, before and after, what the shop's
file would learn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from roomcheck.chain import Chain
from roomcheck.errors import RoomcheckError
from roomcheck.job import (
    Edit,
    Job,
    Lesson,
    VisitName,
    check_job,
    drop_lesson,
    edit_job,
    keep_lesson,
    lesson_path,
    read_shop,
    shop_taught,
)
from roomcheck.measure import Walk, place
from roomcheck.page.places.conditions import set_conditions
from roomcheck.report import (
    as_before_blocks,
    html_blocks,
    kept_player,
    lesson_preview,
    plan_sketch,
    player_html,
    proof_blocks,
)
from roomcheck.verify import Verification
from roomcheck.words import Reader, say, sentence, sentences


@dataclass(frozen=True, slots=True)
class Thing:
    """One piece of furniture, and whether it stood there at the second visit too."""

    number: int
    """In the job's file, from 1."""
    name: str
    before: bool
    after: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofPage:
    """All that the page of the proof shows of kept results."""

    signed: str = ""
    """Who signed the promise, and when; "" where nothing is signed."""
    recorded: bool = False
    """Whether anything was recorded at the second visit."""
    plan: str = ""
    """The map of the places."""
    walks: tuple[str, ...] = ()
    """How to find each place by tape."""
    as_before: str = ""
    """The conditions of both visits beside each other."""
    noted: bool = False
    """Whether those of the second visit are noted."""
    things: tuple[Thing, ...] = ()
    lacks: tuple[str, ...] = ()
    """What is still needed to decide."""
    judged: bool = False
    verdict: str = ""
    axes: str = ""
    """Both visits on one pair of axes."""
    appendix: str = ""
    player: str = ""
    """Before, as planned and after, to be heard against each other; "" where too few are set."""
    barred: tuple[str, ...] = ()
    """Why the visits cannot be compared."""
    anyway: bool = False
    """Whether they are compared all the same."""
    lesson: str = ""
    """What the shop's file would learn; "" where that is not worked out."""
    taught: bool = False
    """Whether it has learned that already."""
    shop_file: str = ""


def proof_page(chain: Chain, home: str) -> ProofPage:
    """The page, from kept results alone: nothing is computed here.

    Parameters
    ----------
    chain : Chain
    home : str
        The job's address, beneath which its sounds are.
    """
    job, agreement = chain.job, chain.agreed
    reader = Reader(units=job.units)
    if agreement is None:
        return ProofPage()
    stage = next(one for one in check_job(job) if one.stage == "verify")
    verification = chain.kept_verification() if chain.has_takes("after") else None
    page = ProofPage(
        signed=f"{agreement.signed_by} on {agreement.signed_on}",
        recorded=chain.has_takes("after"),
        plan=plan_sketch(job, link="room?face="),
        walks=_walks(job, reader),
        as_before=html_blocks(as_before_blocks(job)),
        noted=job.visit("after") is not None,
        things=_things(job),
        lacks=sentences((*stage.missing, *stage.notes), reader),
        player=_player(job.folder, home),
    )
    return page if verification is None else _judged(chain, page, verification)


def _judged(chain: Chain, page: ProofPage, verification: Verification) -> ProofPage:
    job, agreement = chain.job, chain.agreed
    assert agreement is not None
    before, after = chain.kept_findings("before"), chain.kept_findings("after")
    first, axes, appendix = proof_blocks(
        job,
        agreement,
        verification,
        before=None if before is None else before[1],
        after=None if after is None else after[1],
        changes=chain.changes,
    )
    lesson = chain.kept_lesson()
    return replace(
        page,
        judged=True,
        verdict=html_blocks(first),
        axes=html_blocks(axes),
        appendix=html_blocks(appendix),
        barred=sentences(verification.barring, Reader(units=job.units)),
        anyway=verification.compared_anyway,
        lesson="" if lesson is None else _preview(job, lesson),
        taught=lesson is not None and _taught(job, lesson),
        shop_file=str(lesson_path(job.folder)),
    )


def _walks(job: Job, reader: Reader) -> tuple[str, ...]:
    speakers = [place(Walk.SPEAKER_TO, job, one) for one in job.sources]
    microphones = [place(Walk.MICROPHONE_TO, job, one) for one in job.microphones]
    return tuple(sentence(walk, reader) for walk in (*speakers, *microphones))


def _player(folder: Path, home: str) -> str:
    found = kept_player(folder / "documents", say("player_title"), lambda name: f"{home}/{name}")
    return "" if found is None else player_html(found, "player")


def _things(job: Job) -> tuple[Thing, ...]:
    return tuple(
        Thing(number, one.name, "before" in one.visits, "after" in one.visits)
        for number, one in enumerate(job.furnishings, 1)
    )


def _preview(job: Job, lesson: Lesson) -> str:
    path = lesson_path(job.folder)
    now = read_shop(path) if path.is_file() else job.shop
    return html_blocks(lesson_preview(lesson, now, shop_taught(now, lesson)))


def _taught(job: Job, lesson: Lesson) -> bool:
    path = lesson_path(job.folder)
    return path.is_file() and any(one.job == lesson.job for one in read_shop(path).lessons)


# --- forms


def air_of_today(job: Job, form: Mapping[str, str]) -> Job:
    """Note the second visit: today's air as typed, everything else as at the first.

    Raises
    ------
    RoomcheckError
    """
    first = job.visit("before")
    if first is None:
        raise RoomcheckError("the first visit's conditions are not noted; type them at the visit")
    same = {
        "people": str(first.people),
        "doors": first.doors,
        "hvac": first.hvac,
        "gain": first.gain,
        "equipment": first.equipment,
    }
    air = {key: form.get(key, "") for key in ("temperature", "humidity")}
    return set_conditions(job, "after", same | air)


def stood_there(folder: Path, job: Job, form: Mapping[str, str]) -> Job:
    """Note whether a piece of furniture stood there at the second visit.

    Raises
    ------
    RoomcheckError
        There is no such piece.
    """
    number = form.get("number", "")
    known = [str(i) for i in range(1, len(job.furnishings) + 1)]
    if number not in known:
        raise RoomcheckError("that piece of furniture is no longer in the job; look again")
    thing = job.furnishings[int(number) - 1]
    visits: list[VisitName] = [visit for visit in thing.visits if visit != "after"]
    if form.get("there") == "on":
        visits.append("after")
    if not visits:
        raise RoomcheckError(
            f"{thing.name} would have stood there at no visit: take it out at the room instead"
        )
    return edit_job(folder, [Edit(("furnishing", number, "visits"), visits)])


def teach(chain: Chain) -> Path:
    """Let the shop's file learn from this job.

    Raises
    ------
    RoomcheckError
        What it would learn is not worked out yet.
    """
    lesson = chain.kept_lesson()
    if lesson is None:
        raise RoomcheckError("what this job teaches is not worked out yet; ask for it first")
    return keep_lesson(chain.job.folder, lesson)


def unteach(chain: Chain) -> bool:
    """Take out of the shop's file again what this job taught."""
    folder = chain.job.folder
    return drop_lesson(folder, folder.absolute().name)
