"""roomcheck devices: what can play and record here."""

from __future__ import annotations

import argparse

from roomcheck.cli.shown import Subparsers, add_command, show_json, show_table


def add_parser(subparsers: Subparsers) -> None:
    add_command(
        subparsers,
        "devices",
        run,
        what="list the sound devices, and which are of use",
        example="roomcheck devices",
    )


def run(args: argparse.Namespace) -> int:
    from roomcheck.measure import list_devices

    devices = list_devices()
    if args.json:
        return show_json({"devices": devices})
    if not devices:
        print("There is no sound device: plug the interface in, and look again. Everything from files works without.")
        return 0
    rows = [
        (
            f"{d.number}  {d.name}",
            d.system,
            str(d.inputs),
            str(d.outputs),
            " ".join(f"{rate / 1000:g}" for rate in d.rates_hz) or "–",
            d.why_not or "yes",
        )
        for d in devices
    ]
    show_table("Sound devices", ("device", "system", "inputs", "outputs", "kHz", "of use"), rows)
    return 0
