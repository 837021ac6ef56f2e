"""Recordings that were made and not yet judged: on the disk before anything else happens to
them."""

from __future__ import annotations

import contextlib
import io
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact
from roomcheck.job import Job, Put, coming_facts
from roomcheck.measure.faults import RecordingError
from roomcheck.measure.files.played import Played, facts_of, played_of, write_toml
from roomcheck.measure.files.whole_files import put_in
from roomcheck.measure.kinds import Take
from roomcheck.measure.visit.placed import Look
from roomcheck.measure.visit.takes import Added, add_recording, faults_of
from roomcheck.plain import to_plain

Array = NDArray[np.float64]

COMMENT = "A recording that roomcheck was about to judge. The next roomcheck measure brings it in."


def secure(
    job: Job,
    visit: str,
    samples: Array,
    *,
    source: str,
    microphone: str,
    played: Played,
    channel: int | None,
    faults: tuple[Fact[Take], ...] = (),
    more: Mapping[str, Any] | None = None,
) -> Path:
    """Put a recording and its facts on the disk, unheard; returns the facts' path.

    Raises
    ------
    TakeNotWritten
        Disk full, or no right to write.
    """
    folder = _folder(job, visit)
    facts: dict[str, Any] = {
        "source": source,
        "microphone": microphone,
        "faults": to_plain(faults),
        "more": dict(more or {}),
        "sweep": facts_of(played),
    }
    facts |= {} if channel is None else {"channel": channel}
    for number in range(1, 1000):
        path = folder / f"{number}.toml"
        if path.exists() or path.with_suffix(".wav").exists():
            continue
        where = path.relative_to(job.folder).with_suffix("").as_posix()
        sound = Put(path=f"{where}.wav", data=wav(samples, played.sweep.rate_hz), new=True)
        beside = Put(path=f"{where}.toml", data=write_toml(facts, COMMENT), new=True)
        put_in(job.folder, [sound, beside])
        return path
    raise RecordingError(
        where=str(folder),
        found="999 recordings in it",
        needed="a free name",
        todo="Move them elsewhere.",
    )


def bring_in(job: Job, visit: str, facts_path: Path, look: Look | None = None) -> Added:
    """Judge a secured recording and make it a take.

    Raises
    ------
    RecordingError
        Nothing can be made of it: it is thrown away. `TakeNotWritten`: it stays where it is.
    """
    from roomcheck.measure.faults import TakeNotWritten

    facts = coming_facts(facts_path)
    try:
        added = add_recording(
            job,
            facts_path.with_suffix(".wav"),
            visit=visit,
            source=facts["source"],
            microphone=facts["microphone"],
            sweep=played_of(facts["sweep"], facts_path.parent, str(facts_path)),
            channel=facts.get("channel"),
            faults=faults_of(facts.get("faults", ()), facts_path),
            more=facts.get("more", {}),
            called="This take",
            look=look,
            instead_of=(facts_path.with_suffix(".wav"), facts_path),
        )
    except TakeNotWritten:
        raise
    except RecordingError:
        throw_away(facts_path)
        raise
    throw_away(facts_path)
    return added


def waiting(job: Job, visit: str) -> tuple[Path, ...]:
    """Facts of recordings that an earlier run secured and did not judge, oldest first."""
    found = _folder(job, visit).glob("*.toml")
    return tuple(
        sorted(
            (p for p in found if p.with_suffix(".wav").exists()), key=lambda p: p.stat().st_mtime
        )
    )


def throw_away(facts_path: Path) -> None:
    facts_path.with_suffix(".wav").unlink(missing_ok=True)
    facts_path.unlink(missing_ok=True)
    with contextlib.suppress(OSError):
        facts_path.parent.rmdir()  # the last one takes the folder along


def wav(samples: Array, rate_hz: int) -> bytes:
    """A WAV file's bytes, 32-bit float: as the sound system handed them over."""
    import soundfile as sf

    held = io.BytesIO()
    sf.write(held, samples.astype(np.float32), rate_hz, format="WAV", subtype="FLOAT")
    return held.getvalue()


def _folder(job: Job, visit: str) -> Path:
    return job.folder / "takes" / visit / ".coming"
