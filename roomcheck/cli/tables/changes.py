"""What `roomcheck verify` shows of the changes that no promise hangs on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from roomcheck.cli.terminal import show_table
from roomcheck.units import band_label

if TYPE_CHECKING:
    from roomcheck.verify import ClarityChange, Verification

LOUDEST = 8


def show_changes(verification: Verification) -> None:
    """Clarity, speech, reflections, standing waves and evenness, before and after, on standard
    output."""
    if verification.clarity:
        heads = ("band Hz", "before dB", "after dB", "change dB", "(95 %)", "audible")
        show_table(
            "Clarity C50 (higher is clearer)",
            heads,
            [_clarity(change) for change in verification.clarity],
        )
    for line in change_lines(verification):
        print(line)


def change_lines(verification: Verification) -> Iterator[str]:
    """Speech, reflections, standing waves and evenness, one line each."""
    from roomcheck.words import Reader, mode_name

    for speech in verification.speech:
        yield f"Speech index {speech.source} to {speech.microphone}: {speech.before:.2f}, then {speech.after:.2f}."
    for surface in verification.surfaces[:LOUDEST]:
        was, now = (_level(db) for db in (surface.before_db, surface.after_db))
        place = f"{surface.source} to {surface.microphone}, {1000 * surface.delay_s:.1f} ms"
        yield f"Reflection off {surface.face} ({place}): {was}, then {now}."
    for mode in verification.modes:
        name = f" ({mode_name(mode.box, Reader())})" if mode.box else ""
        sure = "" if mode.sure else ", which may be chance"
        yield f"Standing wave {mode.frequency_hz:.1f} Hz{name}: {mode.before_s:.2f} s, then {mode.after_s:.2f} s{sure}."
    for even in verification.evenness:
        yield (
            f"Unevenness of the response {even.source} to {even.microphone}, {even.from_hz:.0f} "
            f"Hz to {even.to_hz / 1000:g} kHz: {even.before_db:.1f} dB, then {even.after_db:.1f} "
            "dB."
        )


def _level(level_db: float | None) -> str:
    return "none that stands out" if level_db is None else f"{level_db:.0f} dB"


def _clarity(change: ClarityChange) -> tuple[str, ...]:
    return (
        band_label(change.band_hz),
        *(
            "–" if value is None else f"{value:.1f}"
            for value in (change.before_db, change.after_db, change.change_db)
        ),
        "–" if change.change_u_db is None else f"±{2 * change.change_u_db:.1f}",
        {True: "yes", False: "no", None: "–"}[change.audible],
    )
