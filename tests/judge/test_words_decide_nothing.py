"""Verdicts and proofs without words: no sentence decides anything."""

from __future__ import annotations

import pytest
from test_judge import OCTAVES, a_job, a_room

from promises import a_job as a_promised_job
from promises import a_visit, signed
from roomcheck.judge import Verdict, judge
from roomcheck.verify import Verification, verify
from roomcheck.words import Reader, sentence

ROOMS = (
    (a_room(dict.fromkeys(OCTAVES, 1.2) | {125.0: 1.7}, c50_db=-1.0), a_job("meeting room")),
    (a_room({125.0: 0.40}, u_pct=1.0), a_job()),
    (a_room({250.0: 0.36}, u_pct=1.0), a_job()),
    (a_room(0.5), a_job("acoustic rehearsal room")),
    (a_room(0.9), a_job("classroom DIN A3", people_in_use=20)),
)
BEFORE, AFTER = (0.62, 0.65, 0.58, 0.61, 0.64, 0.62), (0.47, 0.50, 0.48, 0.49, 0.46, 0.49)
PROMISES = ((0.40, 0.55), (0.30, 0.40), (0.40, 0.490), (0.40, 0.482))


def verdicts() -> list[Verdict]:
    return [judge(room, job) for room, job in ROOMS]


def proofs() -> list[Verification]:
    visits = a_visit("before", {500.0: BEFORE}), a_visit("after", {500.0: AFTER})
    job = a_promised_job()
    doors = a_promised_job(before={"doors": "shut"}, after={"doors": "open"})
    return [
        *(verify(job, *visits, signed({500.0: limits})) for limits in PROMISES),
        verify(doors, *visits, signed({500.0: PROMISES[0]})),
    ]


WITH_WORDS = (verdicts(), proofs())


@pytest.mark.usefixtures("wordless")
def test_without_words_the_verdicts_stay() -> None:
    found = [finding for verdict in WITH_WORDS[0] for finding in verdict.findings]
    assert len({finding.kind for finding in found}) >= 4
    assert {sentence(finding.measured, Reader()) for finding in found} == {"x"}
    assert verdicts() == WITH_WORDS[0]


@pytest.mark.usefixtures("wordless")
def test_without_words_the_promises_stay() -> None:
    assert {proof.kept for proof in WITH_WORDS[1]} == {"kept", "not kept", "undecided"}
    assert proofs() == WITH_WORDS[1]
