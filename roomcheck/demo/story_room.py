"""Lay the made-up job down in a folder, as if somebody had just come home with the recordings."""

from __future__ import annotations

from pathlib import Path

from roomcheck.chain import Activity, Steps, keeping_takes
from roomcheck.errors import RoomcheckError
from roomcheck.job import Job, Put, load_job, make_folder, mend, write_together
from roomcheck.measure import Sweep, add_recording
from roomcheck.parts import Parts

SWEEP = Sweep(low_hz=40, high_hz=20_000, seconds=4, rate_hz=48_000)
"""What the demo's recordings were made with."""

_JOB = Path(__file__).parent / "story-room"
_RECORDINGS = (Path(__file__).parent / "sample_audio", Path(__file__).parents[2] / "sample_audio")


class DemoNotHere(RoomcheckError):
    """The demo's folder is taken, or its recordings did not come with this copy."""


def recordings() -> Path:
    """Folder of the demo's recordings: inside the installed package, or in a checkout beside it.

    Raises
    ------
    DemoNotHere
        Neither is there.
    """
    for folder in _RECORDINGS:
        if (folder / "before").is_dir():
            return folder
    raise DemoNotHere(
        f"the demo's recordings are in neither {' nor '.join(map(str, _RECORDINGS))}; install "
        "roomcheck again"
    )


def demo(folder: Path, steps: Steps | None = None) -> Job:
    """Lay the made-up job down in `folder`, its recordings added as `roomcheck add` would.

    A folder that holds this very job already is used as it is: what is missing is added, and no
    file that is there is written again. `steps` hears how many of the takes are there.

    Raises
    ------
    DemoNotHere
        `folder` is a file or holds something else, or the recordings are missing.
    """
    if folder.exists() and not _may_be_used(folder):
        raise DemoNotHere(
            f"{folder} is there already and is not the demo as it comes; name another: roomcheck "
            "demo OTHER-FOLDER"
        )
    sources, steps = recordings(), steps or Steps()
    _copy_missing(_JOB, folder)
    job = load_job(folder)
    takes = [
        (visit, take)
        for visit in ("before", "after")
        for take in sorted((sources / visit).glob("*.flac"))
    ]
    with steps.step(Activity.LAY), keeping_takes(job):
        parts = Parts(steps.parts(Activity.LAY), len(takes))
        for visit, take in takes:
            if not (folder / "takes" / visit / take.name).exists():
                _add(job, take, visit)
            parts.add()
    return job


def _add(job: Job, take: Path, visit: str) -> None:
    source, microphone = take.stem.split("-")
    add_recording(job, take, visit=visit, source=source, microphone=microphone, sweep=SWEEP)


def _may_be_used(folder: Path) -> bool:
    """Return whether a folder is empty or holds the demo's job as it comes."""
    if not folder.is_dir():
        return False
    job_file = folder / "job.toml"
    mend(folder)
    if not job_file.is_file():
        return all(path.name.startswith(".roomcheck-") for path in folder.iterdir())
    return job_file.read_bytes() == (_JOB / "job.toml").read_bytes()


def _copy_missing(source: Path, folder: Path) -> None:
    """Copy the files that a folder lacks, in one step."""
    make_folder(folder)
    ways = sorted(path.relative_to(source) for path in source.rglob("*") if path.is_file())
    lacking = [way for way in ways if not (folder / way).exists()]
    write_together(folder, [Put(path=way.as_posix(), data=source / way) for way in lacking])
