"""What verified jobs taught the shop: of its pieces, of its rooms, and of the prediction itself.

Each verified job leaves one lesson in the shop's file: by how much its re-measured decays differed
from the predicted ones, and how much of that each kind of piece could explain. What the shop's
rooms have in common is taken out first (`taught.rooms`); then all lessons together give every piece
a factor with its uncertainty (`taught.pieces`). A lesson that is taken out again leaves no trace.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from roomcheck.job.model.shop import AtScatter, Lesson, Share, Shop, StockPiece
from roomcheck.job.taught.pieces import Factors, factors
from roomcheck.job.taught.rooms import rooms_said
from roomcheck.job.toml.reader import TomlTable

LESSON_SCHEMA = 3
"""Of [[lesson]] tables; those without a number are of the first, which has no `model`; the second
has no `scatters`."""


def learned_shop(shop: Shop, lessons: Sequence[Lesson]) -> Shop:
    """The shop with what its lessons say of each piece; without lessons, the shop as it is."""
    if not lessons:
        return shop
    rooms, known = rooms_said(tuple(lessons)), factors(tuple(lessons))
    return replace(
        shop,
        stock=tuple(replace(piece, learned=_of(piece, known)) for piece in shop.stock),
        lessons=tuple(lessons),
        model_learned=rooms.model,
        scatter_learned=rooms.scatter,
    )


def unlearned_shop(shop: Shop) -> Shop:
    """The shop as if it had never verified a job."""
    return replace(
        shop,
        stock=tuple(replace(piece, learned=()) for piece in shop.stock),
        lessons=(),
        model_learned=(0.0, 1.0),
        scatter_learned=(),
    )


def shop_taught(shop: Shop, lesson: Lesson) -> Shop:
    """The shop as it would be with a job's lesson in place of what that job taught before."""
    others = [known for known in shop.lessons if known.job != lesson.job]
    return learned_shop(unlearned_shop(shop), (*others, lesson))


def _of(piece: StockPiece, known: Factors) -> tuple[tuple[float, float, float], ...]:
    return tuple(
        (hz, *factor) for (name, hz), factor in sorted(known.items()) if name == piece.name
    )


def read_lessons(top: TomlTable) -> tuple[Lesson, ...]:
    """Every [[lesson]] of a shop's file."""
    return tuple(lesson for table in top.tables("lesson") if (lesson := _read(table)) is not None)


def _read(table: TomlTable) -> Lesson | None:
    schema = table.whole("schema", 1, least=1)
    if schema > LESSON_SCHEMA:
        known = f"this one reads up to {LESSON_SCHEMA}; update: pip install --upgrade roomcheck"
        table.note("schema", f"`schema` is {schema}: taught by a newer roomcheck; {known}")
    bands = table.floats("bands_hz", above=0.0)
    lesson = Lesson(
        job=table.text("job"),
        day=table.day("day"),
        bands_hz=bands,
        off=table.floats("off", count=len(bands)),
        spread=table.floats("spread", count=len(bands), above=0.0),
        shares=tuple(_share(one, len(bands)) for one in table.tables("shares")),
        model=table.floats("model", count=len(bands)) if table.has("model") else (),
        scatters=tuple(_at_scatter(one, len(bands)) for one in table.tables("scatters")),
    )
    table.close()
    return None if table.spoiled else lesson


def _share(table: TomlTable, bands: int) -> Share:
    share = Share(
        piece=table.text("piece"),
        count=table.whole("count", least=1),
        pull=table.floats("pull", count=bands),
        prior=table.floats("prior", count=bands),
    )
    table.close()
    return share


def _at_scatter(table: TomlTable, bands: int) -> AtScatter:
    case = AtScatter(
        scatter=table.number("scatter", above=0.0),
        weight=table.number("weight", above=0.0),
        away=table.floats("away", count=bands),
        spread=table.floats("spread", count=bands, above=0.0),
        model=table.floats("model", count=bands),
    )
    table.close()
    return case
