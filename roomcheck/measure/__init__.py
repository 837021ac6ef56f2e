"""Sweep out, recording in, impulse response."""

from roomcheck.measure.audio import load_impulse_response
from roomcheck.measure.deconvolution import impulse_response
from roomcheck.measure.signals import ImpulseResponse, Measurement, TakeCheck
from roomcheck.measure.sweep import Sweep

__all__ = ["ImpulseResponse", "Measurement", "Sweep", "TakeCheck", "impulse_response", "load_impulse_response"]
