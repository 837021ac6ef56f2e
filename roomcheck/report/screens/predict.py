"""`roomcheck predict`: what a plan will measure, by every method, and what the seat will get."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.facts import fact
from roomcheck.predict import (
    BandMethods,
    BandPrediction,
    Outlook,
    Prediction,
    SeatForecast,
    SeatReflection,
)
from roomcheck.report.render.blocks import Align, Block, Bullets, Heading, Table, Text
from roomcheck.units import band_label, band_name
from roomcheck.words import (
    NONE,
    Reader,
    decibels,
    items,
    mode_name,
    outwards,
    reach,
    say,
    sentence,
    sentences,
)

MOST_MODES = 12
SMALL_FROM_HZ = 1000.0
"""A piece that acts at its full size only above this is named. [Hz]"""


def outlook_blocks(outlook: Outlook, reader: Reader, *, everything: bool) -> tuple[Block, ...]:
    """The answer in a sentence and both states in a table; `everything` adds methods, the seat,
    the modes and all notes."""
    blocks: list[Block] = [_answer(outlook.prediction), _both(outlook.prediction)]
    missing = _missing(outlook.prediction, reader)
    if missing:
        blocks.append(Bullets(items=missing))
    notes = sentences(outlook.prediction.notes, reader)
    if notes:
        blocks.append(Bullets(items=notes))
    if outlook.in_use:
        blocks += _in_use(outlook)
    if outlook.second:
        blocks += _second(outlook, reader)
    if not everything:
        return (*blocks, Text(body=say("predict_hint"), small=True))
    blocks += _methods(outlook.methods_after, reader)
    for seat in outlook.seats:
        blocks += _seat(seat, reader)
    blocks += _heard(outlook)
    if outlook.modes:
        named = ", ".join(
            f"{m.frequency_hz:.0f} Hz {mode_name(m, reader)}" for m in outlook.modes[:MOST_MODES]
        )
        more = " …" if len(outlook.modes) > MOST_MODES else ""
        blocks.append(Text(lead=say("modes_lead"), body=f"{named}{more}."))
    if outlook.notes:
        blocks.append(Bullets(items=sentences(outlook.notes, reader)))
    return tuple(blocks)


def _answer(prediction: Prediction) -> Text:
    likely_s, low_s, high_s = prediction.mid_likely_s, prediction.mid_low_s, prediction.mid_high_s
    body = say("not_predicted")
    if likely_s is not None and low_s is not None and high_s is not None:
        low, high = outwards(low_s, high_s)
        body = say("predicted", likely=f"{likely_s:.2f}", low=low, high=high)
    return Text(lead=say("predicted_lead"), body=body)


def _both(prediction: Prediction) -> Table:
    """Both states, octave by octave."""
    rows = []
    for before, after in zip(prediction.before, prediction.after, strict=True):
        row = (
            band_label(before.band_hz),
            _s(before.measured_s),
            _expected(before),
            _s(after.sabine_s),
            _s(after.eyring_s),
            _s(after.simulated_s),
            _expected(after),
        )
        rows.append(row)
    named = ("Sabine", "Eyring", say("head_images"))
    now = (say("head_hz"), say("head_measured"), say("head_as_is"))
    heads = (*now, *named, say("head_as_planned"))
    return Table(heads=heads, rows=tuple(rows), align=_numbers(len(heads)))


def _expected(band: BandPrediction) -> str:
    if band.likely_s is None:
        return NONE
    return f"{band.likely_s:.2f} ({reach(band.low_s, band.high_s)})"


def _missing(prediction: Prediction, reader: Reader) -> tuple[str, ...]:
    """Why octaves have no number, alike ones together."""
    bands: dict[str, list[float]] = {}
    for band in prediction.after:
        for reason in sentences(band.reasons, reader):
            bands.setdefault(reason, []).append(band.band_hz)
    return tuple(f"{', '.join(map(band_name, hz))}: {why}" for why, hz in bands.items())


def _in_use(outlook: Outlook) -> list[Block]:
    rows = tuple(
        (band_label(b.band_hz), _s(b.likely_s), reach(b.low_s, b.high_s)) for b in outlook.in_use
    )
    heads = (say("head_hz"), say("head_expected"), say("head_spread"))
    title = say("in_use_title", people=outlook.in_use[0].people)
    return [Heading(text=title, level=2), Table(heads=heads, rows=rows, align=_numbers(3))]


def _second(outlook: Outlook, reader: Reader) -> list[Block]:
    rows = tuple(
        (band_label(b.band_hz), _s(b.ours_s), _s(b.traced_s), sentence(fact(b.opinion), reader))
        for b in outlook.second
    )
    heads = (say("head_hz"), say("head_simulated"), say("head_traced"), "")
    table = Table(heads=heads, rows=rows, align=("left", "right", "right", "left"))
    return [Heading(text=say("second_title"), level=2), table]


def _methods(methods: Sequence[BandMethods], reader: Reader) -> list[Block]:
    if not methods:
        return []
    rows = []
    for band in methods:
        decays_s = (
            band.sabine_s,
            band.eyring_s,
            band.millington_s,
            band.fitzroy_s,
            band.arau_puchades_s,
            band.kuttruff_paths_s,
            band.kuttruff_uneven_s,
            band.simulated_s,
        )
        row = (band_label(band.band_hz), *map(_s, decays_s), say(f"trusted_{band.trusted}"))
        rows.append(row)
    heads = items("heads_methods")
    why = tuple(
        say(
            "trust",
            band=band_name(band.band_hz),
            method=say(f"trusted_{band.trusted}"),
            why=sentence(band.why, reader),
        )
        for band in methods
    )
    table = Table(
        heads=heads, rows=tuple(rows), align=_numbers(len(heads)), note=say("methods_note")
    )
    return [Heading(text=say("methods_title"), level=2), table, Bullets(items=why)]


def _seat(seat: SeatForecast, reader: Reader) -> list[Block]:
    shown = [r for r in seat.reflections if len(r.faces) == 1 or r.meets_before != r.meets_after]
    blocks: list[Block] = []
    if shown:
        heads = (
            "head_over",
            "head_meets",
            "head_delay",
            "head_db_before",
            "head_db_after",
            "head_db_range",
        )
        align: tuple[Align, ...] = ("left", "left", "right", "right", "right", "right")
        title = say("seat_title", source=seat.source, seat=seat.seat)
        table = Table(heads=tuple(map(say, heads)), rows=tuple(map(_path, shown)), align=align)
        blocks += [Heading(text=title, level=2), table]
    small = [
        f"{' + '.join(r.faces)} {r.holds_from_hz:.0f} Hz"
        for r in shown
        if r.holds_from_hz is not None
        and r.before_db != r.after_db
        and r.holds_from_hz > SMALL_FROM_HZ
    ]
    named = (say("small_pieces", faces=", ".join(small)),) if small else ()
    lines = (*named, *sentences(seat.reasons, reader))
    return [*blocks, Bullets(items=lines)] if lines else blocks


def _path(r: SeatReflection) -> tuple[str, ...]:
    now, then = " + ".join(r.meets_before), " + ".join(r.meets_after)
    ends = NONE
    if r.after_low_db is not None:
        ends = f"{decibels(r.after_low_db)} to {decibels(r.after_high_db)}"
    return (
        " + ".join(r.faces),
        then if now == then else f"{now} → {then}",
        f"{1000 * r.delay_s:.1f}",
        decibels(r.before_db),
        decibels(r.after_db),
        ends,
    )


def _heard(outlook: Outlook) -> list[Block]:
    if not outlook.heard_after:
        return []
    rows = tuple(
        (
            band_label(after.band_hz),
            _s(before.t20_s),
            _s(after.t20_s),
            decibels(before.c50_db),
            decibels(after.c50_db),
        )
        for before, after in zip(outlook.heard_before, outlook.heard_after, strict=False)
    )
    heads = ("head_hz", "head_t20_now", "head_t20_then", "head_c50_now", "head_c50_then")
    return [
        Heading(text=say("at_seat_title"), level=2),
        Table(heads=tuple(map(say, heads)), rows=rows, align=_numbers(len(heads))),
    ]


def _s(decay_s: float | None) -> str:
    return NONE if decay_s is None else f"{decay_s:.2f}"


def _numbers(columns: int) -> tuple[Align, ...]:
    right: Align = "right"
    return ("left", *(right for _ in range(columns - 1)))
