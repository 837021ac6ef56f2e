"""What is told before a command works on a folder: steps that an earlier run had not ended, and
signed files that were changed by hand."""

from __future__ import annotations

from pathlib import Path

from roomcheck.job import Mended, mend


def tell_mended(folder: Path) -> None:
    """Finish or undo what an earlier run began in a job's folder, or in the one above it, and say
    so on standard error."""
    if folder.is_dir():
        tell_mended_in(folder.absolute().parent)
        tell_mended_in(folder)


def tell_mended_in(place: Path) -> None:
    """The same of one folder."""
    for mended in mend(place):
        _tell(place, mended)


def _tell(place: Path, mended: Mended) -> None:
    from roomcheck.cli.terminal import tell
    from roomcheck.words import say

    if not mended.finished:
        text = say("step_undone", folder=place)
    else:
        text = say("step_finished", folder=place, files=", ".join(mended.files))
    tell(f"roomcheck: {text}")
    if mended.aside:
        aside = say("step_aside", files=", ".join(mended.aside))
        tell(f"roomcheck: {aside}")
