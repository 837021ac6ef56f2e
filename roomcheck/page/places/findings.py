"""What is wrong: the reading page of a visit, made of the documents' own blocks."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.chain import Chain
from roomcheck.report import Mark, analysis_screen, findings_screen, html_blocks, wall_sketch
from roomcheck.words import Reader, finding_title

LOUDEST = 4
"""So many reflections of a pair are marked on the walls."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingsPage:
    """All that the page of findings shows; empty where the visit is not analysed yet."""

    ready: bool
    titles: tuple[str, ...] = ()
    body: str = ""
    """What is wrong and what would help, as HTML."""
    everything: str = ""
    """The whole measurement, as HTML."""
    walls: tuple[tuple[str, str, tuple[Mark, ...]], ...] = ()
    """Faces with marks on them: name, drawing, marks."""


def findings_page(chain: Chain, visit: str) -> FindingsPage:
    """The page of a visit, from kept results alone: nothing is computed here."""
    kept = chain.kept_findings(visit)
    if kept is None:
        return FindingsPage(ready=False)
    analysis, verdict = kept
    job = chain.job
    reader = Reader(units=job.units)
    marks = _marks(chain, visit)
    walls = []
    for face in job.room.faces:
        here = tuple(mark for mark in marks if mark.face == face.name)
        if here:
            walls.append((face.name, wall_sketch(job, face, marks=here), here))
    return FindingsPage(
        ready=True,
        titles=tuple(finding_title(finding, reader) for finding in verdict.findings),
        body=html_blocks(findings_screen(job, analysis, verdict)),
        everything=html_blocks(analysis_screen(job, analysis, verdict, everything=True)),
        walls=tuple(walls),
    )


def _marks(chain: Chain, visit: str) -> tuple[Mark, ...]:
    """The loudest first reflections at the seat, or at every place where there is none, each on the
    face that sent it."""
    kept = chain.kept_findings(visit)
    if kept is None:
        return ()
    job, marks = chain.job, list[Mark]()
    for pair in kept[0].reflections:
        if job.seat not in (None, pair.microphone):
            continue
        loudest = sorted(pair.reflections, key=lambda reflection: -reflection.level_db)[:LOUDEST]
        for reflection in loudest:
            if len(reflection.causes) == 1 and len(reflection.causes[0].meetings) == 1:
                meeting = reflection.causes[0].meetings[0]
                what = (
                    f"{pair.source} to {pair.microphone}, {1000 * reflection.delay_s:.1f} ms "
                    f"after the direct sound, {reflection.level_db:+.0f} dB"
                )
                marks.append(
                    Mark(meeting.face, meeting.u_m, meeting.v_m, str(len(marks) + 1), what)
                )
    return tuple(marks)
