"""roomcheck devices: what can play and record here."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from roomcheck.cli.terminal import Subparsers, add_command, show_json, show_table

if TYPE_CHECKING:
    from roomcheck.measure import Device

NOTHING = (
    "There is no sound device: plug the interface in, and look again. Everything from files works "
    "without."
)


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
        return show_json({"devices": [{**_plain(d), "use": d.use} for d in devices]})
    if not devices:
        print(NOTHING)
        return 0
    rows = [
        (
            f"{d.number}  {d.name}",
            d.system,
            str(d.inputs),
            str(d.outputs),
            _rates(d),
            d.why_not or d.use,
        )
        for d in devices
    ]
    show_table("Sound devices", ("device", "system", "inputs", "outputs", "kHz", "of use"), rows)
    usual = [f"{d.number} ({d.name})" for d in devices if d.is_default]
    if usual:
        print(f"Taken where you name none: {' and '.join(usual)}.")
    records = next((d for d in devices if d.records_hz and not d.why_not), None)
    plays = next((d for d in devices if d.plays_hz and not d.why_not), None)
    if records is None or plays is None:
        lacking = " and ".join(["records"] * (records is None) + ["plays"] * (plays is None))
        print(
            f"Nothing here {lacking}: roomcheck measure needs both. Recordings from elsewhere "
            "come in by roomcheck add."
        )
        return 0
    print(
        f"To choose: roomcheck measure JOB --input {records.number} --output {plays.number}, or "
        "a part of the name."
    )
    return 0


def _rates(device: Device) -> str:
    rates = sorted({*device.records_hz, *device.plays_hz})
    return " ".join(f"{rate / 1000:g}" for rate in rates) or "–"


def _plain(device: Device) -> dict[str, object]:
    from roomcheck.plain import to_plain

    plain: dict[str, object] = to_plain(device)
    return plain
