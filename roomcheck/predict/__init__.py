"""Room and treatment to decays, with a range."""

from roomcheck.predict.forecast import predict
from roomcheck.predict.linings import NoAbsorption, piece_absorption
from roomcheck.predict.outlook import Outlook, outlook
from roomcheck.predict.results import BandPrediction, Prediction
from roomcheck.predict.statistics import Statistics

__all__ = [
    "BandPrediction",
    "NoAbsorption",
    "Outlook",
    "Prediction",
    "Statistics",
    "outlook",
    "piece_absorption",
    "possible_s",
    "predict",
]
