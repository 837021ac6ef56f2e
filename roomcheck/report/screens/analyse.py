"""What `roomcheck analyse` shows: the verdict, the octaves, what is wrong; the rest on request."""

from __future__ import annotations

from pathlib import PurePath

from roomcheck.analyse import Analysis, against_limit
from roomcheck.job import Job, visit_files
from roomcheck.judge import Verdict
from roomcheck.measure import Take
from roomcheck.report.pages.findings import verdict_box
from roomcheck.report.pages.low_end import modes_table
from roomcheck.report.pages.measurement import (
    decay_tables,
    decays_picture,
    findings_titled,
    reasons_and_lacks,
)
from roomcheck.report.pages.parts import blocks, titled
from roomcheck.report.pages.reflections import reflections_table
from roomcheck.report.pages.speech_and_noise import speech_and_noise
from roomcheck.report.render.blocks import Block, Bullets, Heading, Text
from roomcheck.standards.targets.background import NOISE_LIMITS
from roomcheck.words import (
    Reader,
    arrival_remarks,
    finding_notice,
    finding_title,
    left_out,
    mode_remarks,
    rattle_text,
    response_text,
    say,
    sentence,
)

LOUDEST = 6
"""Reflections of each pair that are listed."""


def analysis_screen(
    job: Job,
    analysis: Analysis,
    verdict: Verdict,
    *,
    thirds: bool = False,
    everything: bool = False,
) -> tuple[Block, ...]:
    """The verdict first, then the octaves with their limits, then what is wrong.

    Parameters
    ----------
    thirds : bool
        One-third octaves below the octaves.
    everything : bool
        Evidence and remedies, clarity, noise, speech, modes, reflections, and why a number is
        withheld.
    """
    octaves, more = decay_tables(analysis, verdict)
    reader = Reader(units=job.units)
    head = blocks(
        verdict_box(verdict, reader), octaves, _transition(analysis), _unread(analysis, reader)
    )
    third_rows = decay_tables(analysis, verdict, thirds=True) if thirds else ()
    if not everything:
        short = tuple(
            f"{finding_title(finding, reader)}: {finding_notice(finding, reader)}"
            for finding in verdict.findings
        )
        wrong = titled(Heading(text=say("found_title")), Bullets(items=short))
        return blocks(head, third_rows, wrong, Text(body=say("all_hint"), small=True))
    return blocks(
        head,
        third_rows or more,
        findings_titled(verdict, reader),
        speech_and_noise(analysis, reader),
        _noise_against(job, analysis),
        _modes(job, analysis),
        _responses(analysis),
        _reflections(job, analysis),
        _flights(job, analysis),
        reasons_and_lacks(job, analysis, thirds=thirds),
    )


def _unread(analysis: Analysis, reader: Reader) -> tuple[Block, ...]:
    """The takes that could not be read: the visit was worked out without them."""
    lost = []
    for take in analysis.left_out:
        kinds = {reason.kind for reason in take.reasons}
        if Take.UNREADABLE in kinds:
            lost.append(take)
    return (Bullets(items=left_out(tuple(lost), reader)),) if lost else ()


def findings_screen(job: Job, analysis: Analysis, verdict: Verdict) -> tuple[Block, ...]:
    """What is wrong and what would help, the verdict first, the octaves as one picture."""
    reader = Reader(units=job.units)
    return blocks(
        verdict_box(verdict, reader),
        (decays_picture(job, analysis, verdict),),
        findings_titled(verdict, reader),
    )


def _transition(analysis: Analysis) -> tuple[Block, ...]:
    if analysis.transition_hz is None:
        return ()
    hz = f"{analysis.transition_hz:.0f}"
    return (Text(body=f"{say('transition')}: {say('transition_says', hz=hz)}.", small=True),)


def _noise_against(job: Job, analysis: Analysis) -> tuple[Block, ...]:
    limit = NOISE_LIMITS.get(job.use)
    reader = Reader(units=job.units)
    if not analysis.noise:
        return (Text(body=say("noise_hint")),)
    if limit is None:
        return ()
    return (
        Bullets(
            items=tuple(
                f"{noise.conditions or noise.take}: {sentence(against_limit(noise, limit), reader)}"
                for noise in analysis.noise
            )
        ),
    )


def _modes(job: Job, analysis: Analysis) -> tuple[Block, ...]:
    modes = analysis.modes
    if modes is None:
        return ()
    reader = Reader(units=job.units)
    table: Block = modes_table(modes, reader)
    if not modes.found:
        span = f"{modes.from_hz:.0f} to {modes.to_hz:.0f} Hz"
        table = Text(body=say("no_modes", span=span))
    remarks = Bullets(items=mode_remarks(modes, reader))
    return (Heading(text=say("low_title"), level=2), table, remarks)


def _responses(analysis: Analysis) -> tuple[Block, ...]:
    responses = map(response_text, analysis.responses)
    items = (*responses, *map(rattle_text, analysis.rattles))
    return (Bullets(items=items),) if items else ()


def _reflections(job: Job, analysis: Analysis) -> tuple[Block, ...]:
    pairs = sorted(analysis.reflections, key=lambda pair: pair.microphone != job.seat)
    rows = []
    for pair in pairs:
        loudest = sorted(pair.reflections, key=lambda r: -r.level_db)[:LOUDEST]
        loudest.sort(key=lambda r: r.delay_s)
        rows.append((pair, tuple(enumerate(loudest, 1))))
    remarks = tuple(arrival_remarks(analysis, Reader(units=job.units)))
    table = (reflections_table(job, rows),) if any(numbered for _, numbered in rows) else ()
    return titled(Heading(text=say("reflections_title"), level=2), table, Bullets(items=remarks))


def _flights(job: Job, analysis: Analysis) -> tuple[Block, ...]:
    """What delays count from, by the facts that lie beside the recordings."""
    takes = visit_files(job.folder, analysis.visit).takes
    flights_s = {take.path.stem: take.facts.flight_s for take in takes}
    known = []
    for pair in analysis.positions:
        flight_s = flights_s.get(PurePath(pair.take).stem)
        if flight_s is not None:
            known.append(f"{pair.source} to {pair.microphone} {1000 * flight_s:.2f} ms")
    if not known:
        return (Text(body=say("no_loopback"), small=True),)
    return (Text(body=say("flights", times=", ".join(known)), small=True),)
