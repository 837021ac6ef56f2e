"""Something in the room buzzes."""

from __future__ import annotations

from roomcheck.analyse import Analysis
from roomcheck.facts import fact
from roomcheck.judge.kinds import Certainty, FindingKind, LimitSource, Remedy
from roomcheck.judge.limits.audible import JND_DB
from roomcheck.judge.results import Finding
from roomcheck.measure import OVER_DB


def rattling(analysis: Analysis) -> Finding | None:
    """Return the buzzes that the sweep set off, all in one finding."""
    if not analysis.rattles:
        return None
    loudest = analysis.rattles[0]
    buzzes = tuple(
        (buzz.frequency_hz, len(buzz.takes), buzz.of, buzz.over_db, buzz.under_db)
        for buzz in analysis.rattles
    )
    several = len(loudest.takes) > 1
    return Finding(
        measured=fact(FindingKind.RATTLE, buzzes=buzzes, limit_db=OVER_DB),
        source=fact(LimitSource.OUR_MARGIN),
        remedies=(
            fact(Remedy.FIND_BUZZ_BY_HAND),
            fact(Remedy.OTHER_LOUDSPEAKER),
            fact(Remedy.OTHER_TRADES),
        ),
        beyond_jnd=(loudest.over_db - OVER_DB) / JND_DB,
        sure=(fact(Certainty.SEVERAL_TAKES if several else Certainty.ONE_TAKE),),
    )
