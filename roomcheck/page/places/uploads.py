"""Recordings that are brought in: of one pair of places, of a whole visit, of a calibrator, of the
background noise."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

from roomcheck.analyse import doubts_at, looking, noise_level
from roomcheck.chain import keeping_takes
from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact
from roomcheck.job import Job, load_job
from roomcheck.measure import (
    ImpulseResponse,
    Look,
    PlaceDoubted,
    PlaceHeard,
    Played,
    Sweep,
    add_calibrator,
    add_noise,
    add_recording,
    add_whole,
    find_take,
    lay_out,
    noise_takes,
    put_back,
    read_played,
)
from roomcheck.report import calibrator_blocks, noise_blocks, piece_blocks, text_of
from roomcheck.words import Reader, sentences

SWEEP_NAME = "roomcheck-sweep.wav"


@dataclass(frozen=True, slots=True)
class Upload:
    """What a form sent: files on the disk, and texts."""

    recording: Path
    sweep: Path | None
    """What was played, where a file of it was given."""
    values: Mapping[str, str]

    @property
    def channel(self) -> int | None:
        text = self.values.get("channel", "").strip()
        return int(text) if text.isascii() and text.isdecimal() else None

    @property
    def sure(self) -> bool:
        return self.values.get("sure") == "on"


def own_sweep() -> Played:
    """The sweep that the page hands out to be played from a telephone or any other player."""
    return lay_out(Sweep(low_hz=40, high_hz=20_000, seconds=10, rate_hz=48_000))


def own_sweep_wav() -> bytes:
    """The same as a sound file."""
    import soundfile as sf

    played, held = own_sweep(), io.BytesIO()
    sf.write(held, played.samples(), played.sweep.rate_hz, format="WAV", subtype="PCM_24")
    return held.getvalue()


def take_in(
    folder: Path, visit: str, upload: Upload, on_part: Callable[[int, int], None] | None = None
) -> str:
    """Put an uploaded recording into the job, under the name that it had; say what became of it.

    Parameters
    ----------
    on_part : callable or None
        Gets how much of a long recording is done, and of how much.

    Raises
    ------
    RoomcheckError
        With the recording's own name, not the path of its copy.
    """
    whole, single = partial(_whole, on_part=on_part), partial(_single, on_part=on_part)
    ways: dict[str, Callable[[Job, str, Upload], str]]
    ways = {"whole": whole, "calibrator": _calibrator, "noise": _noise}
    take = ways.get(upload.values.get("kind", ""), single)
    try:
        job = load_job(folder)
        with keeping_takes(job):
            return take(job, visit, upload)
    except RoomcheckError as problem:
        name = upload.recording.name
        raise RoomcheckError(str(problem).replace(str(upload.recording), name)) from problem


def _single(
    job: Job, visit: str, upload: Upload, on_part: Callable[[int, int], None] | None = None
) -> str:
    values = upload.values
    added = add_recording(
        job,
        upload.recording,
        visit=visit,
        source=values.get("source", ""),
        microphone=values.get("microphone", ""),
        sweep=upload.sweep or (own_sweep() if values.get("played") == "own" else None),
        channel=upload.channel,
        impulse=values.get("impulse") == "on",
        called=upload.recording.name,
        look=_asking(job, upload),
        on_part=on_part,
    )
    return f"{added.source} to {added.microphone}: {'keep' if added.check.keep else 'repeat'}."


def _whole(
    job: Job, visit: str, upload: Upload, on_part: Callable[[int, int], None] | None = None
) -> str:
    """One long recording, in which the sweep was played once at each place of the list."""
    microphones = _names(upload.values.get("microphones", ""))
    sources = _names(upload.values.get("sources", ""))
    if not microphones or len(sources) not in (1, len(microphones)):
        raise RoomcheckError(
            f"{len(microphones)} microphone places and {len(sources)} loudspeaker places are "
            "listed; name the microphone places in the order they were recorded, and one "
            "loudspeaker place, or one for each of them"
        )
    sources *= len(microphones) // len(sources)
    pieces = add_whole(
        job,
        upload.recording,
        visit=visit,
        places=[(m, (s,)) for m, s in zip(microphones, sources, strict=True)],
        played=own_sweep() if upload.sweep is None else read_played(upload.sweep),
        channel=upload.channel,
        look=_asking(job, upload),
        on_part=on_part,
    )
    return text_of(piece_blocks(pieces, Reader(units=job.units)))


def _calibrator(job: Job, visit: str, upload: Upload) -> str:
    level_db = decibels(upload.values.get("level", "94"), "the calibrator's level")
    take = add_calibrator(
        job, upload.recording, visit=visit, level_db=level_db, channel=upload.channel
    )
    return text_of(calibrator_blocks(take))


def _noise(job: Job, visit: str, upload: Upload) -> str:
    take = add_noise(
        job,
        upload.recording,
        visit=visit,
        conditions=upload.values.get("conditions", "") or "as during the sweeps",
        channel=upload.channel,
        sensitivity_dbfs=sensitivity(upload.values),
    )
    return noise_text(job, visit, take)


def noise_text(job: Job, visit: str, take: str) -> str:
    """How loud a recording of the background noise is."""
    level = next(noise_level(one) for one in noise_takes(job, visit) if one.take == take)
    return text_of(noise_blocks(level, Reader(units=job.units)))


def sensitivity(values: Mapping[str, str]) -> float | None:
    """What 94 dB leaves in a recording, where somebody typed it. [dB re full scale]"""
    text = values.get("sensitivity", "").strip()
    return decibels(text, "what 94 dB leaves in a recording") if text else None


def decibels(text: str, what: str) -> float:
    """A number of decibels as people type it."""
    typed = text.lower().replace("dbfs", "").replace("db", "").replace("−", "-").strip()
    try:
        return float(typed.replace(",", "."))
    except ValueError as problem:
        raise RoomcheckError(f"{what}: {text!r} is no number of dB, such as -26") from problem


def _names(text: str) -> list[str]:
    return [name.strip() for name in text.replace(";", ",").split(",") if name.strip()]


def put_back_asking(job: Job, name: str, *, sure: bool) -> None:
    """Bring a take back that was put aside; a doubt about its place that nobody settled is an
    error."""
    kept = find_take(job, name)
    doubts = () if sure else doubts_at(job, kept, visit=kept.visit, pair=kept.pair)
    if doubts:
        raise _doubted(
            job,
            kept.take,
            doubts,
            "Nothing was changed. Put it back with a tick that you are sure.",
        )
    put_back(job, kept)


def _doubted(job: Job, where: str, doubts: tuple[Fact[Any], ...], todo: str) -> PlaceDoubted:
    return PlaceDoubted(
        where=where,
        found=" ".join(sentences(doubts, Reader(units=job.units))).removesuffix("."),
        needed="the places and the visit that it was recorded at",
        todo=todo,
        doubts=doubts,
    )


def _asking(job: Job, upload: Upload) -> Look:
    """Listen whether a take is of its place; a doubt that nobody settled is an error."""
    hears = looking(job)

    def look(
        response: ImpulseResponse, *, visit: str, pair: tuple[str, str], sha256: str
    ) -> PlaceHeard:
        heard = hears(response, visit=visit, pair=pair, sha256=sha256)
        if upload.sure:
            return replace(heard, doubts=())
        if heard.doubts:
            todo = "Nothing was changed. Choose the right pair, or tick that you are sure."
            raise _doubted(job, upload.recording.name, heard.doubts, todo)
        return heard

    return look
