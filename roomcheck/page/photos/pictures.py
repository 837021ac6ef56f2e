"""A wall's photograph as the page shows it: to be marked, straightened, with the plan on it."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from roomcheck.chain import Chain
from roomcheck.job import Job, load_job
from roomcheck.measure import photo_named, read_photos, straightened, upright
from roomcheck.page.planning.plan import chosen_plan
from roomcheck.report import jpeg_of, on_photo
from roomcheck.scene import scene

_SHOWN_PX = 4096
"""Longer side of the picture that is marked on."""


def shown_picture(folder: Path, name: str) -> bytes:
    """A photograph of the job as it is marked on: upright, without what the camera wrote."""
    file = photo_named(load_job(folder), name).file
    return _shown(file, file.stat().st_mtime_ns)


@lru_cache(maxsize=4)
def _shown(file: Path, _changed_ns: int) -> bytes:
    from PIL import Image

    picture = Image.fromarray(upright(file))
    picture.thumbnail((_SHOWN_PX, _SHOWN_PX))
    import numpy as np

    return jpeg_of(np.asarray(picture))


def straight_picture(job: Job, face: str) -> bytes | None:
    """The wall to scale, from its last photograph that fits; None where none does."""
    photo, read = read_photos(job).get(face, (None, None))
    if photo is None or read is None:
        return None
    flat = straightened(upright(photo.file), read.photo.camera, job.room.face(face))
    return jpeg_of(flat)


def plan_picture(chain: Chain, face: str) -> bytes | None:
    """The wall's last photograph that fits, with the plan on it."""
    job = chain.job
    photo, read = read_photos(job).get(face, (None, None))
    plan = chosen_plan(chain, "chosen")
    if photo is None or read is None or plan is None:
        return None
    camera = read.photo.camera
    return jpeg_of(
        on_photo(upright(photo.file), camera, job.room.face(face), scene(job, plan.pieces))
    )
