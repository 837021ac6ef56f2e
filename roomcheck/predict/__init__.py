"""Room and treatment to decays, with a range."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.doors import door

if TYPE_CHECKING:
    from roomcheck.predict.answer.forecast import (
        WithErrors,
        drawn_again,
        foreseen,
        predict,
        predict_with_errors,
    )
    from roomcheck.predict.answer.forecast_all import Outlook, outlook
    from roomcheck.predict.answer.methods import BandMethods
    from roomcheck.predict.answer.seat import SeatForecast, SeatReflection
    from roomcheck.predict.answer.second_opinion import NoTracer, Second, tracer
    from roomcheck.predict.answer.statistics import DRAWS, Statistics
    from roomcheck.predict.rays.scene import forget_paths
    from roomcheck.predict.reasons import (
        Method,
        NoDecay,
        NoSeatForecast,
        OutlookNote,
        PredictionNote,
        SecondOpinion,
        Trust,
    )
    from roomcheck.predict.results import BandPrediction, Prediction
    from roomcheck.predict.room.linings import PERSON, NoAbsorption, piece_absorption

__all__ = [
    "DRAWS",
    "PERSON",
    "BandMethods",
    "BandPrediction",
    "Method",
    "NoAbsorption",
    "NoDecay",
    "NoSeatForecast",
    "NoTracer",
    "Outlook",
    "OutlookNote",
    "Prediction",
    "PredictionNote",
    "SeatForecast",
    "SeatReflection",
    "Second",
    "SecondOpinion",
    "Statistics",
    "Trust",
    "WithErrors",
    "drawn_again",
    "foreseen",
    "forget_paths",
    "outlook",
    "piece_absorption",
    "predict",
    "predict_with_errors",
    "tracer",
]

__getattr__, __dir__ = door(__name__)
