"""Impulse responses to decays."""

from roomcheck.analyse.average import analyse, band_means
from roomcheck.analyse.response import decays
from roomcheck.analyse.results import (
    Analysis,
    BandDecay,
    BandMean,
    Modes,
    PositionDecays,
    Rattle,
    Response,
    RoomMode,
)

__all__ = [
    "Analysis",
    "BandDecay",
    "BandMean",
    "Modes",
    "PositionDecays",
    "Rattle",
    "Response",
    "RoomMode",
    "analyse",
    "band_means",
    "decays",
]
