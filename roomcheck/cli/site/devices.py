"""roomcheck devices: what can play and record here."""

from __future__ import annotations

import argparse

from roomcheck.cli.terminal import Subparsers, add_command, show, show_json


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
    from roomcheck.report import device_blocks
    from roomcheck.words import Reader

    show(device_blocks(devices, Reader()))
    return 0
