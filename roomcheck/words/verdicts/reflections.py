"""One reflection in words: which surface, and where on it."""

from __future__ import annotations

from roomcheck.analyse import CandidateImage, Reflection
from roomcheck.job import Job, place_of
from roomcheck.words.places import place_text

NO_WALL = "no wall explains this"


def reflection_text(job: Job, reflection: Reflection) -> str:
    """Return the likeliest surface with the place on it, and those that explain it as well."""
    if reflection.perhaps_walls:
        return f"{NO_WALL} by itself: perhaps several together, perhaps something in relief"
    if not reflection.causes:
        return f"{NO_WALL}: a desk, a screen, furniture, something in relief"
    first, *others = reflection.causes
    place = _place(job, first)
    if not others:
        return place
    also = "; or ".join(f"{' then '.join(cause.faces)} ({_off(cause)})" for cause in others)
    return f"{place} ({_off(first)}); or {also}"


def _off(cause: CandidateImage) -> str:
    return f"{1000 * cause.residual_s:+.2f} ms".replace("-", "−")


def _place(job: Job, cause: CandidateImage) -> str:
    """Where sound met the face, or the first of two."""
    meeting = cause.meetings[0]
    place = place_text(place_of(job.room, meeting.face, meeting.u_m, meeting.v_m), job)
    return place if cause.order == 1 else f"{' then '.join(cause.faces)}; first {place}"
