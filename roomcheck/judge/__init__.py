"""Analysis against a target."""

from __future__ import annotations

from roomcheck.judge.findings.early import EARLY_USES, Limit, limit_for
from roomcheck.judge.findings.reflection_words import reflection_text
from roomcheck.judge.kinds import BASS_FINDINGS, FindingKind
from roomcheck.judge.results import BandVerdict, Finding, Verdict
from roomcheck.judge.verdict import judge

__all__ = [
    "BASS_FINDINGS",
    "EARLY_USES",
    "BandVerdict",
    "Finding",
    "FindingKind",
    "Limit",
    "Verdict",
    "judge",
    "limit_for",
    "reflection_text",
]
