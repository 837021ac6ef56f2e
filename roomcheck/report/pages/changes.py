"""What else changed between the visits, for the appendix: reflections, standing waves, speech, the
response."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.recommend import Plan
from roomcheck.report.pages.parts import rights
from roomcheck.report.render.blocks import Block, Heading, Table
from roomcheck.units import band_name
from roomcheck.verify import (
    BandChange,
    ChangeNote,
    ClarityChange,
    MeanChange,
    ModeChange,
    SurfaceChange,
    Verification,
)
from roomcheck.words import (
    NONE,
    Reader,
    decibels,
    joined,
    mean_name,
    mode_name,
    people_more,
    plus_minus,
    say,
    sentence,
)

LOUDEST = 8


def other_changes(verification: Verification, plan: Plan | None = None) -> tuple[Block, ...]:
    """A table each, as far as there is something to show; with the plan, its reflections first."""
    return (
        *_planned(verification, plan),
        *_surfaces(verification, plan),
        *_modes(verification),
        *_pairs(verification),
    )


def _table(
    title: str, heads: tuple[str, ...], rows: tuple[tuple[str, ...], ...], note: str
) -> tuple[Block, ...]:
    if not rows:
        return ()
    table = Table(
        heads=tuple(say(head) for head in heads),
        rows=rows,
        align=rights(len(heads) - 1),
        wide=0,
        note=say(note),
    )
    return Heading(text=say(title), level=2), table


def change_notes(changes: Sequence[BandChange | MeanChange], reader: Reader) -> tuple[str, ...]:
    """What goes with the values, each thing said once with the octaves it is for."""
    alike: dict[str, list[str]] = {}
    corrected: dict[int, list[str]] = {}
    for change in changes:
        name = change_label(change)
        for note in change.notes:
            if note.kind is ChangeNote.OTHER_PEOPLE:
                value = f"{name} {-note['change_s']:+.3f} s".replace("-", "−")
                corrected.setdefault(note["more"], []).append(value)
            else:
                alike.setdefault(sentence(note, reader), []).append(name)
    values = [
        say("corrected", people=people_more(more), values="; ".join(values))
        for more, values in corrected.items()
    ]
    return (*values, *(f"{joined(names)}: {text}" for text, names in alike.items()))


def change_label(change: BandChange | MeanChange) -> str:
    """Return an octave's name, or the mean's, as the head of a row."""
    return (
        mean_name(change.bands_hz) if isinstance(change, MeanChange) else band_name(change.band_hz)
    )


def clarity_table(verification: Verification) -> tuple[Block, ...]:
    """Return clarity before and after, as far as it is known."""
    if not verification.clarity:
        return ()
    heads = ("head_band", "head_c50_before", "head_c50_after", "head_c50_change", "head_audible")
    return (
        Heading(text=say("clarity_title"), level=2),
        Table(
            heads=tuple(say(head) for head in heads),
            rows=tuple(_clarity_row(change) for change in verification.clarity),
            align=("left", "right", "right", "right", "left"),
            wide=4,
            note=say("note_clarity"),
        ),
    )


def _clarity_row(change: ClarityChange) -> tuple[str, ...]:
    moved = decibels(change.change_db)
    if change.change_u_db is not None:
        moved = f"{moved} {plus_minus(change.change_u_db, 1)}"
    audible = NONE if change.audible is None else say("yes" if change.audible else "no")
    return (
        band_name(change.band_hz),
        decibels(change.before_db),
        decibels(change.after_db),
        moved,
        audible,
    )


def _planned(verification: Verification, plan: Plan | None) -> tuple[Block, ...]:
    """The reflections that the plan said it would lower: measured before and after, and how far
    it said they would go."""
    covered = [r for r in plan.reflections if r.piece] if plan is not None else []
    measured = {(s.source, s.microphone, s.face): s for s in verification.surfaces}
    rows = []
    for planned in covered:
        found = measured.get((planned.source, planned.seat, planned.face))
        lowered = decibels(planned.after_db - planned.before_db)
        moved = NONE
        if found is not None and found.before_db is not None and found.after_db is not None:
            moved = decibels(found.after_db - found.before_db)
        rows.append(
            (
                f"{planned.face} ({planned.source}, {planned.seat}), {planned.piece}",
                f"{1000 * planned.delay_s:.1f}",
                _known(found, before=True),
                _known(found, before=False),
                moved,
                lowered,
            )
        )
    heads = (
        *("head_bounce", "head_after_ms", "head_before_db", "head_after_db"),
        *("head_lowered", "head_lowered_planned"),
    )
    return _table("planned_title", heads, tuple(rows), "note_planned")


def _known(found: SurfaceChange | None, *, before: bool) -> str:
    """A level as measured; a dash where that reflection was not found at either visit."""
    if found is None:
        return NONE
    return _level(found.before_db if before else found.after_db)


def _surfaces(verification: Verification, plan: Plan | None) -> tuple[Block, ...]:
    """The loudest first reflections; without those that the plan lowers, which have a table."""
    covered = {(r.source, r.seat, r.face) for r in plan.reflections if r.piece} if plan else set()
    others = [s for s in verification.surfaces if (s.source, s.microphone, s.face) not in covered]
    rows = tuple(_surface(change) for change in others[:LOUDEST])
    heads = ("head_bounce", "head_after_ms", "head_before_db", "head_after_db")
    return _table("surfaces_title", heads, rows, "note_surfaces")


def _surface(change: SurfaceChange) -> tuple[str, ...]:
    name = f"{change.face} ({change.source}, {change.microphone})"
    return name, f"{1000 * change.delay_s:.1f}", _level(change.before_db), _level(change.after_db)


def _level(level_db: float | None) -> str:
    return say("not_out") if level_db is None else decibels(level_db)


def _modes(verification: Verification) -> tuple[Block, ...]:
    heads = ("head_wave", "head_mode_box", "head_before", "head_after", "head_sure")
    return _table(
        "modes_title",
        heads,
        tuple(_mode(change) for change in verification.modes),
        "note_modes_change",
    )


def _mode(change: ModeChange) -> tuple[str, ...]:
    times = (f"{change.before_s:.2f}", f"{change.after_s:.2f}")
    return (
        f"{change.frequency_hz:.1f} Hz",
        mode_name(change.box, Reader()) if change.box else NONE,
        *times,
        say("yes" if change.sure else "no"),
    )


def _pairs(verification: Verification) -> tuple[Block, ...]:
    """Speech and evenness of every pair, in one table; a column that nobody has is left out."""
    speech = {(c.source, c.microphone): c for c in verification.speech}
    evenness = {(c.source, c.microphone): c for c in verification.evenness}
    rows = []
    for pair in dict.fromkeys((*speech, *evenness)):
        row = [", ".join(pair)]
        if speech:
            index = speech.get(pair)
            row += [f"{index.before:.2f}", f"{index.after:.2f}"] if index else [NONE, NONE]
        if evenness:
            level = evenness.get(pair)
            values = (level.before_db, level.after_db) if level else (None, None)
            row += map(decibels, values)
        rows.append(tuple(row))
    heads = ["head_pair"]
    heads += ["head_sti_before", "head_sti_after"] if speech else []
    heads += ["head_uneven_before", "head_uneven_after"] if evenness else []
    return _table("pairs_title", tuple(heads), tuple(rows), "note_pairs_change")
