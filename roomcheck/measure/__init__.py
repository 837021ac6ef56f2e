"""Sweep out, recording in, impulse response."""

from roomcheck.measure.audio import load_impulse_response
from roomcheck.measure.card import Device, PortAudioCard, Recorded, SoundCard, list_devices
from roomcheck.measure.deconvolution import impulse_response
from roomcheck.measure.noise import NoiseTake, add_calibrator, add_noise, noise_takes
from roomcheck.measure.played import Played, export, lay_out, read_played
from roomcheck.measure.signals import BandRange, ImpulseResponse, Measurement, TakeCheck
from roomcheck.measure.sweep import Sweep
from roomcheck.measure.takes import Added, add_recording, measure
from roomcheck.measure.visit import Walked, verdict_text, walk

__all__ = [
    "Added",
    "BandRange",
    "Device",
    "ImpulseResponse",
    "Measurement",
    "NoiseTake",
    "Played",
    "PortAudioCard",
    "Recorded",
    "SoundCard",
    "Sweep",
    "TakeCheck",
    "Walked",
    "add_calibrator",
    "add_noise",
    "add_recording",
    "export",
    "impulse_response",
    "lay_out",
    "list_devices",
    "load_impulse_response",
    "measure",
    "noise_takes",
    "read_played",
    "verdict_text",
    "walk",
]
