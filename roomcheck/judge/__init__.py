"""Analysis against a target."""

from roomcheck.judge.results import BandVerdict, Finding, Verdict
from roomcheck.judge.verdict import judge

__all__ = ["BandVerdict", "Finding", "Verdict", "judge"]
