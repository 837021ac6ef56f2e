"""Impulse responses to decays."""

from roomcheck.analyse.average import analyse, band_means
from roomcheck.analyse.background import noise_level
from roomcheck.analyse.closing import Closing, closing
from roomcheck.analyse.response import decays
from roomcheck.analyse.results import (
    Analysis,
    BandDecay,
    BandMean,
    BandSpeech,
    Cause,
    Flutter,
    Meeting,
    Modes,
    NoiseLevel,
    PositionDecays,
    PositionReflections,
    Rattle,
    Reflection,
    Response,
    RoomMode,
    SpeechIndex,
)
from roomcheck.analyse.speech import speech_index

__all__ = [
    "Analysis",
    "BandDecay",
    "BandMean",
    "BandSpeech",
    "Cause",
    "Closing",
    "Flutter",
    "Meeting",
    "Modes",
    "NoiseLevel",
    "PositionDecays",
    "PositionReflections",
    "Rattle",
    "Reflection",
    "Response",
    "RoomMode",
    "SpeechIndex",
    "analyse",
    "band_means",
    "closing",
    "decays",
    "noise_level",
    "speech_index",
]
