"""Impulse responses to decays."""

from roomcheck.analyse.average import analyse, band_means
from roomcheck.analyse.background import noise_level
from roomcheck.analyse.response import decays
from roomcheck.analyse.results import Analysis, BandDecay, BandMean, BandSpeech, NoiseLevel, PositionDecays, SpeechIndex
from roomcheck.analyse.speech import speech_index

__all__ = [
    "Analysis",
    "BandDecay",
    "BandMean",
    "BandSpeech",
    "NoiseLevel",
    "PositionDecays",
    "SpeechIndex",
    "analyse",
    "band_means",
    "decays",
    "noise_level",
    "speech_index",
]
