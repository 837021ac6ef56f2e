"""Impulse responses to decays."""

from roomcheck.analyse.average import analyse, band_means
from roomcheck.analyse.background import noise_level
from roomcheck.analyse.closing import Closing, closing
from roomcheck.analyse.response import decays
from roomcheck.analyse.results import Analysis, BandDecay, BandMean, NoiseLevel, PositionDecays

__all__ = [
    "Analysis",
    "BandDecay",
    "BandMean",
    "Closing",
    "NoiseLevel",
    "PositionDecays",
    "analyse",
    "band_means",
    "closing",
    "decays",
    "noise_level",
]
