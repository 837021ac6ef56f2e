"""Analysis against a target."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.doors import door

if TYPE_CHECKING:
    from roomcheck.judge.findings.early import EARLY_USES, Limit, limit_for
    from roomcheck.judge.kinds import (
        BASS_FINDINGS,
        FREE,
        Certainty,
        FindingKind,
        LimitSource,
        MeanNote,
        Outcome,
        Remedy,
    )
    from roomcheck.judge.limits.audible import BASS_RATIO, JND_DB, JND_DECAY
    from roomcheck.judge.results import BandVerdict, Finding, Judged, MeanVerdict, Verdict
    from roomcheck.judge.verdict import judge

__all__ = [
    "BASS_FINDINGS",
    "BASS_RATIO",
    "EARLY_USES",
    "FREE",
    "JND_DB",
    "JND_DECAY",
    "BandVerdict",
    "Certainty",
    "Finding",
    "FindingKind",
    "Judged",
    "Limit",
    "LimitSource",
    "MeanNote",
    "MeanVerdict",
    "Outcome",
    "Remedy",
    "Verdict",
    "judge",
    "limit_for",
]

__getattr__, __dir__ = door(__name__)
