"""What was heard on a visit beside the decays: arrivals, flutter, buzzes, responses, modes."""

from __future__ import annotations

from collections.abc import Iterator

from roomcheck.analyse import Analysis, Flutter, Modes, Rattle, Response, mean_early_db
from roomcheck.words.reader import Reader
from roomcheck.words.saying import sentences
from roomcheck.words.visit.analysis import mode_name


def response_text(response: Response) -> str:
    """Give the highest and the lowest level where a response stands clear of the noise."""
    levels = zip(response.level_db, response.hz, strict=True)
    within = response.clear_from_hz, response.clear_to_hz
    clear = [(level_db, hz) for level_db, hz in levels if within[0] <= hz <= within[1]]
    (low_db, low_hz), (high_db, high_hz) = min(clear), max(clear)
    return (
        f"Response {response.source} to {response.microphone}: {within[0]:.0f} Hz to "
        f"{within[1] / 1000:.0f} kHz clear of noise, {low_db:+.0f} dB at {low_hz:.0f} Hz to "
        f"{high_db:+.0f} dB at {high_hz:.0f} Hz."
    )


def rattle_text(rattle: Rattle) -> str:
    """Say at which note something buzzes, and how sure that is."""
    return (
        f"Something buzzes at {rattle.frequency_hz:.0f} Hz: {rattle.over_db:.0f} dB over what else "
        f"the sweep leaves, in {len(rattle.takes)} of {rattle.of} takes."
    )


def flutter_text(flutter: Flutter) -> str:
    """Say between which faces sound flutters."""
    names = " or ".join(f"{first} and {second}" for first, second in flutter.faces)
    return (
        f"Flutter between {names}: a beat every {1000 * flutter.period_s:.1f} ms, "
        f"{flutter.repeats} repeats."
    )


MOST_MISSING = 6
"""Predicted modes that were not separated and are listed by name."""


def mode_remarks(modes: Modes, reader: Reader) -> tuple[str, ...]:
    """Say which mode rings longest against its neighbours, what hinders, and what was not
    found."""
    remarks = list(sentences(modes.reasons, reader))
    longest = modes.longest
    against_s = modes.neighbours_s(longest) if longest else 0.0
    if longest is not None and longest.decay_s > against_s:
        rings = f"Rings longest against its neighbours: {longest.frequency_hz:.1f} Hz"
        remarks.insert(0, f"{rings}, {longest.decay_s:.2f} s against {against_s:.2f} s.")
    if modes.found and modes.not_found:
        names = [f"{box.frequency_hz:.1f} Hz {mode_name(box, reader)}" for box in modes.not_found]
        if len(names) > MOST_MISSING:
            names[MOST_MISSING:] = [f"{len(names) - MOST_MISSING} more"]
        remarks.append(f"Predicted by the room's size, not separated: {'; '.join(names)}.")
    return tuple(remarks)


def arrival_remarks(analysis: Analysis, reader: Reader) -> Iterator[str]:
    """Say how loud the first 20 ms are, where no arrival could be told, and what flutters."""
    for source, mean_db, low_db, high_db in mean_early_db(analysis.reflections):
        yield (
            f"{source}: the first 20 ms hold {mean_db:+.1f} dB against the direct sound (mean of "
            f"the places, {low_db:+.1f} to {high_db:+.1f})."
        )
    for pair in analysis.reflections:
        for reason in sentences(pair.reasons, reader):
            yield f"{pair.source} to {pair.microphone}: {reason}"
    yield from map(flutter_text, analysis.flutter)
