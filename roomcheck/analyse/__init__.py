"""Impulse responses to decays."""

from roomcheck.analyse.average import analyse, band_means
from roomcheck.analyse.response import decays
from roomcheck.analyse.results import (
    Analysis,
    BandDecay,
    BandMean,
    Cause,
    Flutter,
    Meeting,
    PositionDecays,
    PositionReflections,
    Reflection,
)

__all__ = [
    "Analysis",
    "BandDecay",
    "BandMean",
    "Cause",
    "Flutter",
    "Meeting",
    "PositionDecays",
    "PositionReflections",
    "Reflection",
    "analyse",
    "band_means",
    "decays",
]
