"""Speech transmission index and background noise of a visit, for the measurement report."""

from __future__ import annotations

from roomcheck.analyse import Analysis, NoiseLevel
from roomcheck.report.render.blocks import Block, Bullets, Heading, Table
from roomcheck.standards.curves.noise_curves import NoiseRating
from roomcheck.units import band_name
from roomcheck.words import NONE, Reader, say, sentence


def speech_and_noise(analysis: Analysis) -> tuple[Block, ...]:
    """A table each, as far as there is something to show."""
    return (*_speech(analysis), *_noise(analysis))


def _speech(analysis: Analysis) -> tuple[Block, ...]:
    rows = tuple(
        (f"{p.source}, {p.microphone}", f"{p.speech.sti:.2f}", p.speech.rating or NONE)
        for p in analysis.positions
        if p.speech is not None and p.speech.sti is not None
    )
    if not rows:
        return ()
    remarks = dict.fromkeys(
        r for p in analysis.positions if p.speech and p.speech.sti for r in p.speech.reasons
    )
    table = Table(
        heads=(say("head_pair"), say("head_sti"), say("head_rating")),
        rows=rows,
        align=("left", "right", "left"),
        wide=2,
        note=" ".join([say("note_sti"), *remarks]),
    )
    return Heading(text=say("speech_title"), level=2), table


def _noise(analysis: Analysis) -> tuple[Block, ...]:
    if not analysis.noise:
        return ()
    table = Table(
        heads=tuple(
            say(head) for head in ("head_noise", "head_dba", "head_nc", "head_nr", "head_louder")
        ),
        rows=tuple(_row(noise) for noise in analysis.noise),
        align=("left", "right", "right", "right", "left"),
        wide=0,
        note=say("note_noise"),
    )
    told = dict.fromkeys(
        f"{n.conditions or n.take}: {text}"
        for n in analysis.noise
        for text in (sentence(n.reference, Reader("client")), *n.warnings)
    )
    return Heading(text=say("noise_title"), level=2), table, Bullets(items=tuple(told))


def _row(noise: NoiseLevel) -> tuple[str, ...]:
    hz, level = max(noise.octaves_db, key=lambda octave: octave[1])
    unit = say("db_absolute" if noise.absolute else "db_relative")
    a_weighted = f"{noise.a_weighted_db:.0f} {unit}".replace("-", "−")
    loudest = f"{band_name(hz)}, {level:.0f} dB".replace("-", "−")
    return noise.conditions or noise.take, a_weighted, _rating(noise.nc), _rating(noise.nr), loudest


def _rating(rating: NoiseRating | None) -> str:
    return NONE if rating is None else str(rating)
