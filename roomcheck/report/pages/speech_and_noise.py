"""Speech transmission index and background noise of a visit, for the measurement report."""

from __future__ import annotations

from collections.abc import Iterator

from roomcheck.analyse import Analysis, NoiseLevel, SpeechIndex, SpeechRemark
from roomcheck.report.pages.parts import rights, titled
from roomcheck.report.render.blocks import Block, Bullets, Heading, Table, Text
from roomcheck.standards.curves.noise_curves import NoiseRating
from roomcheck.units import OCTAVES_HZ, band_name
from roomcheck.words import NONE, Reader, say, sentences

ACOUSTICIAN = Reader(who="acoustician")


def speech_and_noise(analysis: Analysis, reader: Reader = ACOUSTICIAN) -> tuple[Block, ...]:
    """A table each, as far as there is something to show."""
    return (*_speech(analysis, reader), *_noise(analysis, reader))


def _speech(analysis: Analysis, reader: Reader) -> tuple[Block, ...]:
    rows, remarks, without = [], dict[str, None](), dict[str, list[str]]()
    for position in analysis.positions:
        speech = position.speech
        if speech is None:
            continue
        for reason in sentences(speech.withheld, reader):
            pair = f"{position.source} to {position.microphone}"
            without.setdefault(reason, []).append(pair)
        if speech.sti is not None:
            rating = _sti_rating(speech)
            rows.append((f"{position.source}, {position.microphone}", f"{speech.sti:.2f}", rating))
            remarks |= dict.fromkeys(sentences(speech.remarks, reader))
    lacks = tuple(f"{', '.join(pairs)}: {reason}" for reason, pairs in without.items())
    tables: tuple[Table, ...] = ()
    if rows:
        table = Table(
            heads=(say("head_pair"), say("head_sti"), say("head_rating")),
            rows=tuple(rows),
            align=("left", "right", "left"),
            wide=2,
            note=" ".join([say("note_sti"), *remarks]),
        )
        tables = (table,)
    return titled(Heading(text=say("speech_title"), level=2), tables, Bullets(items=lacks))


def _sti_rating(speech: SpeechIndex) -> str:
    """What the index is called; without the room's noise in it, that is the best it can be."""
    if not speech.rating:
        return NONE
    if any(remark.kind is SpeechRemark.WITHOUT_NOISE for remark in speech.remarks):
        return say("at_best", rating=str(speech.rating))
    return str(speech.rating)


def _noise(analysis: Analysis, reader: Reader) -> tuple[Block, ...]:
    if not analysis.noise:
        return (Text(body=say("noise_not_measured")),)
    heads = ("head_noise", "head_dba", "head_nc", "head_nr", "head_louder")
    table = Table(
        heads=tuple(map(say, heads)),
        rows=tuple(map(_row, analysis.noise)),
        align=("left", "right", "right", "right", "left"),
        wide=0,
        note=say("note_noise"),
    )
    remarks: dict[str, None] = {}
    for noise in analysis.noise:
        for text in sentences((noise.reference, *noise.warnings), reader):
            remarks[f"{noise.conditions or noise.take}: {text}"] = None
    return (
        Heading(text=say("noise_title"), level=2),
        table,
        *_octaves(analysis.noise),
        Bullets(items=tuple(remarks)),
    )


def _octaves(noise: tuple[NoiseLevel, ...]) -> Iterator[Table]:
    """The level of every octave, one row a recording; absolute and relative levels apart."""
    for absolute, unit in ((True, "octaves_absolute"), (False, "octaves_relative")):
        alike = [recording for recording in noise if recording.absolute is absolute]
        rows = [
            (recording.conditions or recording.take, *_levels(recording)) for recording in alike
        ]
        if rows:
            yield Table(
                heads=(say(unit), *map(band_name, OCTAVES_HZ)),
                rows=tuple(rows),
                align=rights(len(OCTAVES_HZ)),
                wide=0,
            )


def _levels(recording: NoiseLevel) -> Iterator[str]:
    levels = dict(recording.octaves_db)
    for hz in OCTAVES_HZ:
        level = f"{levels[hz]:.0f}" if hz in levels else NONE
        yield level.replace("-", "−")


def _row(noise: NoiseLevel) -> tuple[str, ...]:
    hz, level = max(noise.octaves_db, key=lambda octave: octave[1])
    unit = say("db_absolute") if noise.absolute else say("db_relative")
    a_weighted = f"{noise.a_weighted_db:.0f} {unit}".replace("-", "−")
    loudest = f"{band_name(hz)}, {level:.0f} dB".replace("-", "−")
    return noise.conditions or noise.take, a_weighted, _rating(noise.nc), _rating(noise.nr), loudest


def _rating(rating: NoiseRating | None) -> str:
    return NONE if rating is None else str(rating)
