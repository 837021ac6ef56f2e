"""Doubts about the place of a take in words."""

from __future__ import annotations

from roomcheck.analyse import PlaceDoubt, PlaceNote
from roomcheck.words.numbers import length
from roomcheck.words.reader import Reader
from roomcheck.words.saying import joined, register


def _pair(source: str, microphone: str) -> str:
    return f"{source} to {microphone}"


def _fits_other(
    _reader: Reader,
    *,
    source: str,
    microphone: str,
    gain: float,
    or_pairs: tuple[tuple[str, str], ...] = (),
) -> str:
    pairs = [_pair(source, microphone), *(_pair(*pair) for pair in or_pairs)]
    return (
        f"Its first reflections fit {joined(pairs, 'or')}, not the places named: the microphone "
        "or the loudspeaker stood there, or the names are swapped."
    )


def _fits_elsewhere(
    reader: Reader,
    *,
    microphone: str,
    away_m: float,
    x_m: float,
    y_m: float,
    z_m: float,
    gain: float,
) -> str:
    spot = ", ".join(
        f"{axis} {length(at_m, reader)}" for axis, at_m in (("x", x_m), ("y", y_m), ("z", z_m))
    )
    return (
        f"Its first reflections fit no place of the job; they would if {microphone} had stood at "
        f"{spot}, {length(away_m, reader)} from where job.toml has it."
    )


def _alike(_reader: Reader, *, pairs: tuple[tuple[str, str], ...]) -> str:
    named = joined([_pair(*pair) for pair in pairs])
    return (
        f"By its reflections it cannot be told from {named}: they come at the same times there "
        "(mirrored places, or loudspeaker and microphone exchanged)"
    )


register(
    {
        PlaceDoubt.SAME_RECORDING: "It is the same recording as {take}.",
        PlaceDoubt.SAME_SPOT: "It sounds as {take} does ({likeness:.2f} of 1 alike, as repeats at "
        "one spot are): the microphone was not moved from {source} to {microphone}, or the place "
        "is named wrongly.",
        PlaceDoubt.AS_BEFORE: "The room sounds exactly as in {take} ({likeness:.3f} of 1 alike): "
        "it was recorded before anything was changed.",
        PlaceDoubt.NO_ROOM: "There is no room in it: it is what was played, through a wire or as "
        "the file itself.",
        PlaceDoubt.FITS_OTHER: _fits_other,
        PlaceDoubt.FITS_ELSEWHERE: _fits_elsewhere,
        PlaceNote.ALIKE: _alike,
        PlaceNote.CUT_ALIKE: "it sounds as {take} does, of {source} to {microphone} "
        "({likeness:.2f} of 1 alike): was everything moved between the two?",
    }
)
