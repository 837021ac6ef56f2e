"""What `roomcheck analyse` shows of modes, responses and rattles."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.cli.terminal import show_table
from roomcheck.units import rounded_up

if TYPE_CHECKING:
    from roomcheck.analyse import Analysis, Modes, Response


def show_low_end(analysis: Analysis) -> None:
    """Modes, the response at each position in a few words, and what rattled; on standard output."""
    if analysis.modes is not None:
        _show_modes(analysis.modes)
    for response in analysis.responses:
        print(f"  Response {response.source} to {response.microphone}: {_in_words(response)}")
    for rattle in analysis.rattles:
        print(
            f"Something buzzes at {rattle.frequency_hz:.0f} Hz: {rattle.over_db:.0f} dB over "
            f"what else the sweep leaves, in {len(rattle.takes)} of {rattle.of} takes."
        )


def _show_modes(modes: Modes) -> None:
    span = f"{modes.from_hz:.0f} to {modes.to_hz:.0f} Hz"
    if modes.found:
        rows = [
            (
                f"{mode.frequency_hz:.1f}",
                f"±{rounded_up(2 * mode.frequency_u_hz, 1)}",
                f"{mode.decay_s:.2f}",
                f"±{rounded_up(2 * mode.decay_u_s, 2)}",
                f"{mode.q:.0f}",
                f"{mode.level_db:.0f}",
                "–" if mode.late_db is None else f"{mode.late_db:+.0f}",
                (mode.box or "none of the box") + (" or another" if mode.others else ""),
            )
            for mode in modes.found
        ]
        heads = ("mode Hz", "(95 %)", "decay s", "(95 %)", "Q", "dB", "late dB", "which")
        title = (
            f"Modes, {span}, from {modes.positions} responses; late: over what is beside it after "
            "150 ms"
        )
        show_table(title, heads, rows)
        longest = modes.longest
        if longest is not None and len(modes.found) > 1:
            print(
                f"Rings longest against its neighbours: {longest.frequency_hz:.1f} Hz, "
                f"{longest.decay_s:.2f} s against {modes.neighbours_s(longest):.2f} s."
            )
        if modes.not_found:
            print(f"Predicted by the room's size, not told apart: {'; '.join(modes.not_found)}.")
    else:
        print(f"No modes were told apart from {span}.")
    for reason in modes.reasons:
        print(f"  {reason}")


def _in_words(response: Response) -> str:
    """Highest and lowest level where it stands clear of the noise."""
    clear = [
        (level, hz)
        for hz, level in zip(response.hz, response.level_db, strict=True)
        if response.clear_from_hz <= hz <= response.clear_to_hz
    ]
    (low, low_hz), (high, high_hz) = min(clear), max(clear)
    return (
        f"{response.clear_from_hz:.0f} Hz to {response.clear_to_hz / 1000:.0f} kHz clear of "
        f"noise, {low:+.0f} dB at {low_hz:.0f} Hz to {high:+.0f} dB at {high_hz:.0f} Hz "
        "(relative, 0 dB: mean of 250 Hz to 2 kHz)."
    )
