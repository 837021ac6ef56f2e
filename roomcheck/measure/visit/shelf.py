"""What was made of takes before, kept in files of the job: a recording is heard once."""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Callable, Iterator
from contextvars import ContextVar
from dataclasses import dataclass, replace
from hashlib import blake2b
from pathlib import Path
from typing import Any

import numpy as np

from roomcheck.job import CannotWrite, NoRegularFile, make_folder, read_regular, write_atomically
from roomcheck.measure.checks.listening import Decisions
from roomcheck.measure.files.played import Played
from roomcheck.measure.signal.signals import ImpulseResponse, Limits, TakeCheck
from roomcheck.plain import from_plain, to_plain

Heard = tuple[tuple[ImpulseResponse, ...], TakeCheck, int]
"""The response, or several of an impulsive take; the verdict; the channel, from 1."""

MOST_KEPT, MOST_BYTES = 160, 1 << 26
"""Files of a job, and of one file: a longer response is worked out again. [files], [bytes]"""

_ENDING = ".take"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """A folder of files, each with what was made of one recording."""

    folder: Path
    method: str
    """A digest of the source that listens."""

    def name(self, sha256: str, played: Played | None, decisions: Decisions) -> str:
        """A digest of all that a take's response and verdict depend on."""
        parts = [self.method, sha256, repr(decisions)]
        if played is not None:
            sweep = played.sweep
            sizes = (sweep.low_hz, sweep.high_hz, sweep.seconds, sweep.rate_hz)
            rest = (played.passes, played.marker, played.first_s, played.last_s, played.silence_s)
            parts += [repr(sizes), repr(rest), blake2b(sweep.samples.tobytes()).hexdigest()]
        digest = blake2b("\n".join(parts).encode(), digest_size=20).hexdigest()
        return f"{self.method[:8]}-{digest}"

    def read(self, name: str) -> Heard | None:
        """What is kept; None where there is none, or it is damaged."""
        path = self.folder / f"{name}{_ENDING}"
        try:
            data = read_regular(path, MOST_BYTES)
            end = data.index(b"\n")
            heard = _unpacked(json.loads(data[:end]), data[end + 1 :])
            os.utime(path)
        except (NoRegularFile, OSError, ValueError, TypeError, LookupError, RecursionError):
            return None
        return heard

    def write(self, name: str, heard: Heard) -> None:
        """Keep it; where nothing can be written nothing is kept."""
        packed = _packed(heard)
        if len(packed) > MOST_BYTES:
            return
        with contextlib.suppress(CannotWrite):
            make_folder(self.folder)
            write_atomically(self.folder / f"{name}{_ENDING}", packed)

    def tidy(self) -> None:
        """Take away what another method made, and what was not asked for the longest."""
        with contextlib.suppress(OSError):
            ours = set(self.folder.glob(f"{self.method[:8]}-*{_ENDING}"))
            kept = sorted(ours, key=lambda path: path.stat().st_mtime_ns)
            theirs = set(self.folder.glob(f"*{_ENDING}")) - ours
            for path in (*theirs, *kept[:-MOST_KEPT]):
                path.unlink()


_SHELF: ContextVar[Shelf | None] = ContextVar("shelf", default=None)


@contextlib.contextmanager
def keeping(folder: Path, method: str) -> Iterator[None]:
    """Within this, takes are heard once: what is made of them is kept in a folder.

    Parameters
    ----------
    folder : Path
    method : str
        A digest of the source that listens; by another one everything is heard anew.
    """
    shelf = Shelf(folder=folder, method=method)
    before = _SHELF.set(shelf)
    try:
        yield
        shelf.tidy()
    finally:
        _SHELF.reset(before)


def heard_once(
    sha256: str, played: Played | None, decisions: Decisions, hear: Callable[[], Heard]
) -> Heard:
    """What is kept of a recording, else what `hear` makes of it now.

    Parameters
    ----------
    sha256 : str
        Of the recording.
    played : Played or None
    decisions : Decisions
    hear : callable
    """
    shelf = _SHELF.get()
    if shelf is None:
        return hear()
    name = shelf.name(sha256, played, decisions)
    kept = shelf.read(name)
    if kept is None:
        kept = hear()
        shelf.write(name, kept)
    return kept


def keep_heard(sha256: str, played: Played | None, decisions: Decisions, heard: Heard) -> None:
    """Keep what was made of a recording as it came in, for when its take is read."""
    shelf = _SHELF.get()
    if shelf is not None:
        named = replace(decisions, channel=heard[2])
        shelf.write(shelf.name(sha256, played, named), heard)


def _packed(heard: Heard) -> bytes:
    responses, check, channel = heard
    data = b"".join(response.samples.astype("<f8").tobytes() for response in responses)
    head = {
        "responses": [
            {
                "frames": len(response.samples),
                "rate_hz": response.rate_hz,
                "limits": to_plain(response.limits),
            }
            for response in responses
        ],
        "check": to_plain(check),
        "channel": channel,
        "blake2b": blake2b(data).hexdigest(),
    }
    return json.dumps(head, ensure_ascii=False).encode() + b"\n" + data


def _unpacked(head: dict[str, Any], data: bytes) -> Heard:
    if blake2b(data).hexdigest() != head["blake2b"]:
        raise ValueError("blake2b: not that of the samples")
    samples = np.frombuffer(data, dtype="<f8")
    responses, first = [], 0
    for one in head["responses"]:
        limits = None if one["limits"] is None else from_plain(Limits, one["limits"])
        part = samples[first : first + one["frames"]]
        first += one["frames"]
        responses.append(ImpulseResponse(samples=part, rate_hz=one["rate_hz"], limits=limits))
    return tuple(responses), from_plain(TakeCheck, head["check"]), int(head["channel"])
