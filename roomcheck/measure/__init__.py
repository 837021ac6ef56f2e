"""Sweep out, recording in, impulse response."""

from roomcheck.measure.signals import ImpulseResponse, Measurement, TakeCheck

__all__ = ["ImpulseResponse", "Measurement", "TakeCheck"]
