"""Which pieces, how many, where."""

from roomcheck.recommend.plans import recommend
from roomcheck.recommend.results import Plan, Promise, PromisedBand

__all__ = ["Plan", "Promise", "PromisedBand", "recommend"]
