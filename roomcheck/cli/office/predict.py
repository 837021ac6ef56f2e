"""roomcheck predict JOB [PLAN]: what the plan will measure, by both methods, and what the seat will
hear."""

from __future__ import annotations

import argparse
import json
from typing import TYPE_CHECKING

from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, seconds, show_table
from roomcheck.plain import to_plain
from roomcheck.units import band_label, band_name

if TYPE_CHECKING:
    from roomcheck.predict import (
        BandMethods,
        BandPrediction,
        Outlook,
        Prediction,
        SeatForecast,
        SeatReflection,
    )

_MOST_SHOWN = 12


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "predict",
        run,
        what=(
            "the decay and the seat's reflections before and after a plan, by every method, with "
            "a range"
        ),
        example="roomcheck predict harbour-room 2",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "number",
        type=int,
        nargs="?",
        metavar="PLAN",
        help="which plan (default: the signed one, else 2)",
    )
    parser.add_argument("--plan", type=int, metavar="N", help="the same as PLAN")
    parser.add_argument(
        "--second", action="store_true", help="a second opinion by ray tracing (takes a while)"
    )


def run(args: argparse.Namespace) -> int:
    chain = opened(args.job, args.plan if args.number is None else args.number)
    found = chain.outlook_with(second=args.second)
    if args.json:
        plain = to_plain(found)
        print(json.dumps({**plain.pop("prediction"), **plain}, ensure_ascii=False))
        return 0
    show_prediction(found.prediction)
    _show_more(found)
    return 0


def show_prediction(prediction: Prediction) -> None:
    """Both states of the room, band by band, on standard output."""
    for title, bands in (("As it is", prediction.before), ("As planned", prediction.after)):
        rows = [_row(band) for band in bands]
        show_table(
            title,
            ("band Hz", "measured s", "Sabine s", "Eyring s", "images s", "likely s", "range s"),
            rows,
        )
        for band in bands:
            for reason in band.reasons:
                print(f"  {band_name(band.band_hz)}: {reason}")
    for note in prediction.notes:
        print(note)


def _show_more(found: Outlook) -> None:
    if found.methods_after:
        heads = (
            "band Hz",
            "Sabine",
            "Eyring",
            "Milling.",
            "Fitzroy",
            "Arau-P.",
            "Kuttr. a",
            "Kuttr. b",
        )
        every = [_method_row(band) for band in found.methods_after]
        show_table("As planned, by every method [s]", (*heads, "simulated", "trusted"), every)
        print(
            "  Kuttr. a: Eyring corrected for paths of unequal length; b: for walls that "
            "scatter but absorb unevenly."
        )
        for band in found.methods_after:
            print(f"  {band_name(band.band_hz)}: {band.trusted}, because {band.why}")
    if found.second:
        traced = [
            (band_label(b.band_hz), seconds(b.ours_s), seconds(b.traced_s), b.said)
            for b in found.second
        ]
        show_table(
            "A second opinion, as planned", ("band Hz", "simulated s", "traced s", ""), traced
        )
    if found.in_use:
        used = [
            (band_label(b.band_hz), seconds(b.likely_s), f"{b.low_s:.2f}–{b.high_s:.2f}")
            for b in found.in_use
        ]
        show_table(
            f"As planned, with {found.in_use[0].people} people",
            ("band Hz", "likely s", "range s"),
            used,
        )
    for seat in found.seats:
        _show_seat(seat)
    if found.heard_after:
        heard = [
            (
                band_label(a.band_hz),
                seconds(b.t20_s),
                seconds(a.t20_s),
                _db(b.c50_db),
                _db(a.c50_db),
            )
            for b, a in zip(found.heard_before, found.heard_after, strict=False)
        ]
        columns = ("band Hz", "T20 before s", "T20 after s", "C50 before dB", "C50 after dB")
        show_table("At the seat, read from simulated responses as from recordings", columns, heard)
    if found.modes:
        from roomcheck.words import Reader, mode_name

        reader = Reader()
        shown = ", ".join(
            f"{m.frequency_hz:.0f} Hz {mode_name(m, reader)}" for m in found.modes[:_MOST_SHOWN]
        )
        print(
            f"Modes by the room's sizes: {shown}{' …' if len(found.modes) > _MOST_SHOWN else ''}."
        )
    for note in found.notes:
        print(note)


def _show_seat(seat: SeatForecast) -> None:
    heads = ("over", "meets", "delay ms", "before dB", "after dB", "range dB")
    shown = [r for r in seat.reflections if len(r.faces) == 1 or r.meets_before != r.meets_after]
    if shown:
        show_table(
            f"Reflections from {seat.source} at {seat.seat}", heads, [_mirror_row(r) for r in shown]
        )
    for r in shown:
        if r.holds_from_hz is not None and r.before_db != r.after_db and r.holds_from_hz > 1000:
            print(
                f"  {' + '.join(r.faces)}: what hangs there is small; it acts at its full size "
                f"from about {r.holds_from_hz:.0f} Hz."
            )
    for reason in seat.reasons:
        print(reason)


def _mirror_row(r: SeatReflection) -> tuple[str, ...]:
    now, then = " + ".join(r.meets_before), " + ".join(r.meets_after)
    spread = "–" if r.after_low_db is None else f"{r.after_low_db:.1f} to {r.after_high_db:.1f}"
    meets = then if now == then else f"{now} → {then}"
    return (
        " + ".join(r.faces),
        meets,
        f"{1000 * r.delay_s:.1f}",
        _db(r.before_db),
        _db(r.after_db),
        spread,
    )


def _method_row(band: BandMethods) -> tuple[str, ...]:
    values = (
        band.sabine_s,
        band.eyring_s,
        band.millington_s,
        band.fitzroy_s,
        band.arau_puchades_s,
        band.kuttruff_paths_s,
        band.kuttruff_uneven_s,
        band.simulated_s,
    )
    return (band_label(band.band_hz), *(seconds(value) for value in values), band.trusted)


def _row(band: BandPrediction) -> tuple[str, ...]:
    spread = (
        "–" if band.low_s is None or band.high_s is None else f"{band.low_s:.2f}–{band.high_s:.2f}"
    )
    values = (band.measured_s, band.sabine_s, band.eyring_s, band.simulated_s, band.likely_s)
    return (band_label(band.band_hz), *(seconds(value) for value in values), spread)


def _db(value: float | None) -> str:
    return "–" if value is None else f"{value:.1f}"
