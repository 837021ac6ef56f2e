"""Takes and background noise, as `roomcheck add` and `roomcheck measure` show them."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.analyse import NoiseLevel
from roomcheck.measure import Added, BandRange, HeardTake, TakeCheck
from roomcheck.measure import Piece as RecordingPiece
from roomcheck.report.render.blocks import Block, Bullets, Table, Text, Tone, VerdictBox
from roomcheck.units import band_name
from roomcheck.words import Reader, say, sentences


def take_blocks(added: Added, reader: Reader) -> tuple[Block, ...]:
    """Show whether a take may be kept, with the evidence."""
    check = added.check
    outcome: tuple[str, Tone] = ("take_repeated", "bad")
    if check.keep:
        outcome = ("take_kept", "good")
    key, tone = outcome
    verdict = VerdictBox(word=say(key, take=added.take), sentence=_levels(check), tone=tone)
    remarks = []
    for remark, facts in (
        ("repeat_because", check.reasons),
        ("kept_although", check.overruled),
        ("to_note", (*check.warnings, *added.notes)),
    ):
        remarks += [say(remark, what=text) for text in sentences(facts, reader)]
    return (verdict, Bullets(items=tuple(remarks))) if remarks else (verdict,)


def _levels(check: TakeCheck) -> str:
    noise = "none in the record"
    if check.noise_dbfs is not None:
        noise = f"{check.noise_dbfs:.0f} dB"
    levels = f"peak {check.peak_dbfs:.1f} dB, noise {noise} re full scale"
    least = min(check.bands, key=_range_db, default=None)
    if least is None or least.range_db is None:
        return levels
    return f"{levels}; least range {least.range_db:.0f} dB at {band_name(least.band_hz)}"


def _range_db(band: BandRange) -> float:
    return float("inf") if band.range_db is None else band.range_db


def piece_blocks(pieces: Sequence[RecordingPiece], reader: Reader) -> tuple[Block, ...]:
    """Show what became of every position of one long recording."""
    blocks: list[Block] = []
    for piece in pieces:
        minutes, seconds = divmod(piece.at_s, 60)
        place = f"At {minutes:.0f}:{seconds:04.1f}, {piece.source} to {piece.microphone}:"
        blocks.append(Text(body=piece.problem, lead=place))
        if piece.added is not None:
            blocks += take_blocks(piece.added, reader)
    return tuple(blocks)


def calibrator_blocks(take: str) -> tuple[Block, ...]:
    """Show that a calibrator's tone was taken."""
    absolute = (
        "a steady tone; the noise of this visit, recorded at the same input gain, is absolute now."
    )
    return (Text(body=absolute, lead=f"{take}:"),)


def noise_blocks(level: NoiseLevel, reader: Reader) -> tuple[Block, ...]:
    """Show one recording of the background noise."""
    unit = "dB(A)" if level.absolute else "dB(A) re full scale, relative"
    ratings = [str(rating) for rating in (level.nc, level.nr) if rating is not None]
    loudness = ", ".join((f"{level.a_weighted_db:.0f} {unit}", *ratings))
    notes = sentences((level.reference, *level.warnings), reader)
    return Text(body=f"{loudness}.", lead=f"{level.take}:"), Bullets(items=notes)


KEEP = "keep"
"""The verdict on a take that counts."""


def takes_blocks(takes: Sequence[HeardTake]) -> tuple[Block, ...]:
    """Show the takes of a job, those put aside last."""
    if not takes:
        return (Text(body="no takes yet"),)
    # What asks for something comes first.
    told = sorted(takes, key=lambda one: (one.kept.aside, _verdict(one) == KEEP))
    rows = tuple(_take_row(one) for one in told)
    table = Table(
        heads=("take", "pair", "verdict", "length", "came in"),
        rows=rows,
        align=("left", "left", "left", "right", "left"),
        wide=0,
    )
    problems = tuple(one.problem for one in takes if one.problem)
    aside = sum(one.kept.aside for one in takes)
    kept = sum(_verdict(one) == KEEP for one in takes)
    counted = Text(
        body=say("takes_counted", kept=kept, repeated=len(takes) - aside - kept, aside=aside)
    )
    return (counted, table, Bullets(items=problems)) if problems else (counted, table)


def _take_row(heard: HeardTake) -> tuple[str, ...]:
    kept = heard.kept
    length = "" if heard.length_s is None else f"{heard.length_s:.1f} s"
    name = kept.take.removeprefix("takes/")
    return name, f"{kept.source} to {kept.microphone}", _verdict(heard), length, kept.added


def _verdict(heard: HeardTake) -> str:
    if heard.kept.aside:
        return "put aside"
    if heard.check is None:
        return "cannot be read"
    return KEEP if heard.check.keep else "repeat"
