"""Impulse responses to decays."""

from __future__ import annotations

from roomcheck.analyse.decay.response import decays
from roomcheck.analyse.echoes.flutter import FALL_DB as FLUTTER_FALL_DB
from roomcheck.analyse.echoes.flutter import LEAST_REPEATS
from roomcheck.analyse.echoes.reflections import energy_time, mean_early_db
from roomcheck.analyse.modes.box_modes import BoxMode, box_modes, shape_at, size_of
from roomcheck.analyse.modes.low_frequencies import TEMPERATURE_IF_UNKNOWN_C
from roomcheck.analyse.modes.spectrum import dips
from roomcheck.analyse.results import (
    Analysis,
    BandDecay,
    BandMean,
    BandSpeech,
    Cause,
    Dip,
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
from roomcheck.analyse.speech.background import against_limit, noise_level
from roomcheck.analyse.speech.speech import speech_index
from roomcheck.analyse.visit.average import analyse, band_means
from roomcheck.analyse.visit.pictures import curve_shown, decay_map
from roomcheck.analyse.visit.visit_complete import Closing, closing

__all__ = [
    "FLUTTER_FALL_DB",
    "LEAST_REPEATS",
    "TEMPERATURE_IF_UNKNOWN_C",
    "Analysis",
    "BandDecay",
    "BandMean",
    "BandSpeech",
    "BoxMode",
    "Cause",
    "Closing",
    "Dip",
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
    "against_limit",
    "analyse",
    "band_means",
    "box_modes",
    "closing",
    "curve_shown",
    "decay_map",
    "decays",
    "dips",
    "energy_time",
    "mean_early_db",
    "noise_level",
    "shape_at",
    "size_of",
    "speech_index",
]
