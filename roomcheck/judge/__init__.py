"""Analysis against a target."""

from roomcheck.judge.results import BandVerdict, Finding, Verdict

__all__ = ["BandVerdict", "Finding", "Verdict"]
