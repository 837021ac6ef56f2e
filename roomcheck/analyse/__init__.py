"""Impulse responses to decays."""

from roomcheck.analyse.results import Analysis, BandDecay, BandMean, PositionDecays

__all__ = ["Analysis", "BandDecay", "BandMean", "PositionDecays"]
