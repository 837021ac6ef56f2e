"""The measurement report's part on modes, decay curves and the frequency response."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.analyse import Analysis, Modes, PositionDecays, Response
from roomcheck.job import Job
from roomcheck.measure import Measurement
from roomcheck.report.figures.figure_modes import curves_svg, map_svg, modes_svg, response_svg
from roomcheck.report.render.blocks import Block, Bullets, Heading, Picture, Table
from roomcheck.units import band_name
from roomcheck.words import NONE, Reader, decibels, expanded, mode_name, say, seconds, sentences


def low_end(job: Job, analysis: Analysis, takes: Sequence[Measurement] = ()) -> tuple[Block, ...]:
    """Modes with their figures, and the response; only what there is."""
    take = _at_the_seat(job, takes)
    reader = Reader(who="acoustician", units=job.units)
    shown: list[Block] = []
    if analysis.modes is not None:
        shown += [Heading(text=say("low_title")), *_modes(analysis.modes, take, reader)]
    if analysis.responses:
        shown += [
            Heading(text=say("response_title")),
            Picture(
                svg=response_svg(analysis.responses, job.seat, analysis.transition_hz),
                alt=_response_alt(analysis.responses),
                caption=say("cap_response"),
            ),
        ]
    return tuple(shown)


def decay_curves(
    job: Job, analysis: Analysis, takes: Sequence[Measurement] = ()
) -> tuple[Block, ...]:
    """The decay curves of one take, that of the seat where there is one."""
    take = _at_the_seat(job, takes)
    position = next(
        (p for p in analysis.positions if take is not None and p.take == take.take), None
    )
    if take is None or position is None:
        return ()
    names = {"source": take.source, "microphone": take.microphone}
    return (
        Picture(
            svg=curves_svg(take, position.octaves),
            alt=say("alt_curves", values=_falls(position), **names),
            caption=say("cap_curves", **names),
        ),
    )


def _response_alt(responses: Sequence[Response]) -> str:
    """The lowest and the highest level of each place, where it is clear of the noise."""
    ends = []
    for one in responses:
        pairs = zip(one.level_db, one.hz, strict=True)
        clear = [
            (level_db, hz) for level_db, hz in pairs if one.clear_from_hz <= hz <= one.clear_to_hz
        ]
        if clear:
            (low_db, low_hz), (high_db, high_hz) = min(clear), max(clear)
            ends.append(
                say(
                    "alt_response_ends",
                    source=one.source,
                    microphone=one.microphone,
                    low=f"{decibels(low_db)} dB at {low_hz:.0f} Hz",
                    high=f"{decibels(high_db)} dB at {high_hz:.0f} Hz",
                )
            )
    return say("alt_response", count=str(len(responses)), values="; ".join(ends) or NONE)


def _falls(position: PositionDecays) -> str:
    """How long each octave takes to fall by 60 dB."""
    return ", ".join(
        f"{band_name(band.band_hz)} {seconds(band.t20_s)} s"
        for band in position.octaves
        if band.t20_s is not None
    )


def _ringing(modes: Modes) -> str:
    """The notes that ring, the longest first."""
    found = sorted(modes.found, key=lambda mode: -mode.decay_s)
    rings = ", ".join(f"{mode.frequency_hz:.0f} Hz for {mode.decay_s:.2f} s" for mode in found)
    return rings or say("alt_map_none")


def _at_the_seat(job: Job, takes: Sequence[Measurement]) -> Measurement | None:
    kept = [take for take in takes if take.check.keep]
    at_seat = [take for take in kept if take.microphone == job.seat]
    return next(iter((*at_seat, *kept)), None)


def modes_table(modes: Modes, reader: Reader) -> Table:
    """Every mode with its decay and the standing wave that it is."""
    heads = ("head_mode", "head_decay", "head_q", "head_late", "head_which")
    rows = []
    for mode in modes.found:
        which = mode_name(mode.box, reader) if mode.box else NONE
        rows.append(
            (
                f"{mode.frequency_hz:.1f} ± {expanded(mode.frequency_u_hz, 1)}",
                f"{mode.decay_s:.2f} ± {expanded(mode.decay_u_s)}",
                f"{mode.q:.0f}",
                decibels(mode.late_db),
                which,
            )
        )
    return Table(
        heads=tuple(say(head) for head in heads),
        rows=tuple(rows),
        align=("left", "right", "right", "right", "left"),
        wide=4,
        note=say("note_modes"),
    )


def _modes(modes: Modes, take: Measurement | None, reader: Reader) -> tuple[Block, ...]:
    body: list[Block] = []
    if modes.found:
        values = ", ".join(
            f"{mode.frequency_hz:.1f} Hz {mode.decay_s:.2f} s" for mode in modes.found
        )
        alt = say("alt_modes", values=values)
        body.append(Picture(svg=modes_svg(modes), alt=alt, caption=say("cap_modes")))
        body.append(modes_table(modes, reader))
    if take is not None and modes.to_hz > modes.from_hz:
        names = {"source": take.source, "microphone": take.microphone}
        body.append(
            Picture(
                svg=map_svg(take, modes.from_hz, modes.to_hz),
                alt=say("alt_map", values=_ringing(modes), **names),
                caption=say("cap_map", **names),
            )
        )
    if modes.reasons:
        body.append(Bullets(items=sentences(modes.reasons, reader)))
    return tuple(body)
