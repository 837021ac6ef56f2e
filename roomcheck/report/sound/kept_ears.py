"""What both ears get, as a file of the job's results: worked out once for as long as it holds."""

from __future__ import annotations

import json
from hashlib import blake2b
from itertools import pairwise
from pathlib import Path

import numpy as np

from roomcheck.job import NoRegularFile, read_regular
from roomcheck.report.sound.listening import Ears, RoomAtEars

KEPT_EARS = "results/listening.ears"
"""Where it lies in the job's folder."""

MOST_BYTES = 1 << 26
"""Of the file; what is longer is worked out each time."""


def packed(ears: Ears, made_from: str) -> bytes:
    """A line of JSON that says what follows, then the samples of each room, left and right.

    Parameters
    ----------
    ears : Ears
    made_from : str
        Digest of all that it depends on.
    """
    data = b"".join(
        ear.astype("<f8").tobytes() for room in ears.rooms for ear in (room.left, room.right)
    )
    head = {
        "made_from": made_from,
        "rate_hz": ears.rate_hz,
        "about": ears.about,
        "rooms": [
            {"name": room.name, "simulated": room.simulated, "frames": len(room.left)}
            for room in ears.rooms
        ],
        "blake2b": blake2b(data).hexdigest(),
    }
    return json.dumps(head, ensure_ascii=False).encode() + b"\n" + data


def kept_ears(folder: Path, made_from: str) -> Ears | None:
    """What is kept in a job's folder; None where there is nothing made of just this."""
    try:
        return unpacked(read_regular(folder / KEPT_EARS, MOST_BYTES), made_from)
    except (NoRegularFile, OSError):
        return None


def unpacked(data: bytes, made_from: str) -> Ears | None:
    """What is kept; None where it was made from something else, or is damaged."""
    try:
        end = data.index(b"\n")
        head = json.loads(data[:end])
        whole = blake2b(data[end + 1 :]).hexdigest() == head["blake2b"]
        if head["made_from"] != made_from or not whole:
            return None
        samples = np.frombuffer(data, dtype="<f8", offset=end + 1)
        counts = [room["frames"] for room in head["rooms"] for _ in ("left", "right")]
        edges = pairwise(np.cumsum([0, *counts]).tolist())
        parts = [samples[first:last] for first, last in edges]
        rooms = [
            RoomAtEars(name=room["name"], simulated=room["simulated"], left=left, right=right)
            for room, left, right in zip(head["rooms"], parts[::2], parts[1::2], strict=True)
        ]
        return Ears(rate_hz=head["rate_hz"], about=head["about"], rooms=tuple(rooms))
    except (ValueError, TypeError, LookupError, RecursionError):
        return None
