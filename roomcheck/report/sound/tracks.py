"""The files to listen to as what a player plays."""

from __future__ import annotations

import io
from base64 import b64encode
from collections.abc import Callable, Mapping
from pathlib import Path

from roomcheck.report.render.blocks import Player, Track
from roomcheck.report.sound.listening import BEFORE, EVEN, KINDS, MEASURED, PLANNED, TRUE
from roomcheck.words import say

ROOMS = {BEFORE: "room_before", PLANNED: "room_planned", MEASURED: "room_measured"}
"""What a file's room is called in words."""


def player_inside(folder: Path, title: str) -> Player | None:
    """A player that carries its sounds inside itself.

    Parameters
    ----------
    folder : Path
        What `sound_files` wrote into.
    title : str

    Returns
    -------
    Player or None
        None where fewer than two rooms are there to be heard.
    """
    return kept_player(folder, title, lambda name: _data_address(folder / name))


def kept_player(folder: Path, title: str, address_of: Callable[[str], str]) -> Player | None:
    """A player of the files that a job's folder holds, each at an address of its own.

    Parameters
    ----------
    folder : Path
        `documents` of the job's folder.
    title : str
    address_of : callable
        Turns a file's name within `folder`, "listening/as-loud-as-it-is/voice-1-before.wav", into
        the address that a browser asks for.
    """
    there = sorted((folder / "listening").glob("*/*.wav"))
    files = {path.relative_to(folder).as_posix(): path for path in there}
    return _player(files, title, address_of)


def _player(
    files: Mapping[str, Path], title: str, address_of: Callable[[str], str]
) -> Player | None:
    tracks: list[Track] = []
    for kind in KINDS:
        there = [room for room in ROOMS if _name(TRUE, kind, room) in files]
        even = _even_gains(files, kind, there)
        tracks += [
            Track(
                sound=say(f"sound_{kind}"),
                room=say(ROOMS[room]),
                address=address_of(_name(TRUE, kind, room)),
                even_gain=gain,
            )
            for room, gain in zip(there, even, strict=True)
        ]
    rooms = {track.room for track in tracks}
    if len(rooms) < 2:
        return None
    notes = [say("player_simulated")] if say("room_planned") in rooms else []
    return Player(title=title, tracks=tuple(tracks), notes=tuple(notes))


def _name(level: str, kind: str, room: str) -> str:
    return f"listening/{level}/{kind}-{room}.wav"


def _even_gains(files: Mapping[str, Path], kind: str, rooms: list[str]) -> list[float]:
    """What makes the rooms equally loud, at most 1: the file that is made so over the true one."""
    gains = []
    for room in rooms:
        even = files.get(_name(EVEN, kind, room))
        true = _peak(files[_name(TRUE, kind, room)])
        gains.append(_peak(even) / true if even and true > 0 else 1.0)
    most = max(gains, default=1.0)
    return [gain / most for gain in gains]


def _peak(path: Path) -> float:
    import soundfile as sf

    samples, _ = sf.read(path, dtype="int16")
    return max(int(samples.max()), -int(samples.min())) / 2**15


def _data_address(path: Path) -> str:
    """A sound file as its own address: FLAC, which every browser plays, and nothing is lost."""
    import soundfile as sf

    samples, rate_hz = sf.read(path, dtype="int16")
    out = io.BytesIO()
    sf.write(out, samples, rate_hz, format="FLAC", subtype="PCM_16")
    return f"data:audio/flac;base64,{b64encode(out.getvalue()).decode('ascii')}"
