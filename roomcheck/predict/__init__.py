"""Room and treatment to decays, with a range."""

from roomcheck.predict.results import BandPrediction, Prediction

__all__ = ["BandPrediction", "Prediction"]
