"""Sound devices, as `roomcheck devices` shows them."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.measure import Device
from roomcheck.report.render.blocks import Block, Table, Text
from roomcheck.words import Reader, items, joined, say, sentence


def device_blocks(devices: Sequence[Device], reader: Reader) -> tuple[Block, ...]:
    """Show every device with what it is good for, and how to choose one."""
    if not devices:
        return (Text(body=say("no_device")),)
    table = Table(
        heads=items("heads_devices"),
        rows=tuple(_row(device, reader) for device in devices),
        align=("right", "left", "left", "right", "right", "left", "left"),
        wide=1,
    )
    advice = [Text(body=text) for text in (_usual(devices), _choice(devices)) if text]
    return (table, *advice)


def _row(device: Device, reader: Reader) -> tuple[str, ...]:
    rates = sorted({*device.records_hz, *device.plays_hz})
    use = _use(device)
    if device.why_not is not None:
        use = sentence(device.why_not, reader)
    return (
        str(device.number),
        device.name,
        device.system,
        str(device.inputs),
        str(device.outputs),
        " ".join(f"{rate / 1000:g}" for rate in rates) or "–",
        use,
    )


def _use(device: Device) -> str:
    uses = []
    if device.records_hz:
        uses.append(say("use_records"))
    if device.plays_hz:
        uses.append(say("use_plays"))
    return joined(uses) or say("use_nothing")


def _usual(devices: Sequence[Device]) -> str:
    usual = [f"{device.number} ({device.name})" for device in devices if device.is_default]
    return say("usual_device", devices=joined(usual)) if usual else ""


def _choice(devices: Sequence[Device]) -> str:
    good = [device for device in devices if device.why_not is None]
    records = [device.number for device in good if device.records_hz]
    plays = [device.number for device in good if device.plays_hz]
    if records and plays:
        return say("choose_device", input=records[0], output=plays[0])
    uses = []
    if not records:
        uses.append(say("use_records"))
    if not plays:
        uses.append(say("use_plays"))
    return say("device_lacks", uses=joined(uses))
