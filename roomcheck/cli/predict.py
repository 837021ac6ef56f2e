"""roomcheck predict JOB: what the plan will measure, by both methods."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from roomcheck.cli.chain import Chain
from roomcheck.cli.shown import Subparsers, add_command, seconds, show_json, show_table, step
from roomcheck.units import band_label, band_name

if TYPE_CHECKING:
    from roomcheck.predict import BandPrediction, Prediction


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "predict",
        run,
        what="the decay before and after a plan, by statistics and by image sources, with a range",
        example="roomcheck predict harbour-room --plan 2",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument("--plan", type=int, metavar="N", help="which plan (default: the signed one, else 2)")


def run(args: argparse.Namespace) -> int:
    from roomcheck.predict import predict

    chain = Chain.of(args.job, args.plan)
    analysis = chain.before if chain.has_takes("before") else None
    pieces = chain.plan.pieces if analysis is not None else ()
    with step("Simulating the room before and after"):
        prediction = predict(chain.job, pieces, analysis)
    if args.json:
        return show_json(prediction)
    show_prediction(prediction)
    return 0


def show_prediction(prediction: Prediction) -> None:
    """Both states of the room, band by band, on standard output."""
    for title, bands in (("As it is", prediction.before), ("As planned", prediction.after)):
        rows = [_row(band) for band in bands]
        show_table(title, ("band Hz", "measured s", "Sabine s", "Eyring s", "images s", "likely s", "range s"), rows)
        for band in bands:
            for reason in band.reasons:
                print(f"  {band_name(band.band_hz)}: {reason}")
    for note in prediction.notes:
        print(note)


def _row(band: BandPrediction) -> tuple[str, ...]:
    spread = "–" if band.low_s is None or band.high_s is None else f"{band.low_s:.2f}–{band.high_s:.2f}"
    values = (band.measured_s, band.sabine_s, band.eyring_s, band.simulated_s, band.likely_s)
    return (band_label(band.band_hz), *(seconds(value) for value in values), spread)
