"""One reflection in words: which surface, and where on it."""

from __future__ import annotations

from roomcheck.analyse import Cause, Reflection
from roomcheck.job import Job, spot

NO_WALL = "no wall explains this"


def reflection_text(job: Job, reflection: Reflection) -> str:
    """The likeliest surface with the place on it, and the second likeliest where the two cannot be
    told apart."""
    if not reflection.causes:
        return f"{NO_WALL}: a desk, a screen, furniture"
    first, *others = reflection.causes
    text = place_text(job, first)
    if others:
        said = [
            f"{' then '.join(cause.faces)} ({1000 * cause.residual_s:+.2f} ms)" for cause in others
        ]
        text += f" ({1000 * first.residual_s:+.2f} ms); or {'; or '.join(said)}"
    return text


def place_text(job: Job, cause: Cause) -> str:
    """Where sound met the face, or the first of two."""
    m = cause.meetings[0]
    place = spot(job.room, m.face, m.u_m, m.v_m, job.units)
    return place if cause.order == 1 else f"{' then '.join(cause.faces)}; first {place}"
