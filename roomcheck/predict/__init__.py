"""Room and treatment to decays, with a range."""

from __future__ import annotations

from roomcheck.predict.answer.forecast import predict
from roomcheck.predict.answer.forecast_all import Outlook, outlook
from roomcheck.predict.answer.methods import BandMethods
from roomcheck.predict.answer.seat import SeatForecast, SeatReflection
from roomcheck.predict.answer.statistics import Statistics
from roomcheck.predict.results import BandPrediction, Prediction
from roomcheck.predict.room.linings import PERSON, NoAbsorption, piece_absorption

__all__ = [
    "PERSON",
    "BandMethods",
    "BandPrediction",
    "NoAbsorption",
    "Outlook",
    "Prediction",
    "SeatForecast",
    "SeatReflection",
    "Statistics",
    "outlook",
    "piece_absorption",
    "possible_s",
    "predict",
]
