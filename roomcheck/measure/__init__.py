"""Sweep out, recording in, impulse response."""

from roomcheck.measure.audio import load_impulse_response
from roomcheck.measure.deconvolution import impulse_response
from roomcheck.measure.signals import BandRange, ImpulseResponse, Measurement, TakeCheck
from roomcheck.measure.sweep import Sweep
from roomcheck.measure.takes import Added, add_recording, measure

__all__ = [
    "Added",
    "BandRange",
    "ImpulseResponse",
    "Measurement",
    "Sweep",
    "TakeCheck",
    "add_recording",
    "impulse_response",
    "load_impulse_response",
    "measure",
]
