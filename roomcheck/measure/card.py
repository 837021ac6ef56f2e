"""The sound card: what it must do, and the one behind PortAudio.

Two streams, one out and one in, of the system's own block size; what is heard is aligned by the signal, never by a
reported latency.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from roomcheck.measure.faults import CardError

PRE_ROLL_S = 1.0
"""Silence before the signal: the first samples played may not be recorded. [s]"""

LATENCY_S = 0.2
RATES_HZ = (44_100, 48_000, 88_200, 96_000)

AGAIN = "pip install --force-reinstall sounddevice (its wheel carries PortAudio)"
INSTALL = {
    "Windows": AGAIN,
    "macOS": f"{AGAIN}, or brew install portaudio",
    "Linux": "sudo apt install libportaudio2 (Debian, Ubuntu) or sudo dnf install portaudio (Fedora)",
}

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Recorded:
    """What came in while something was played.

    Attributes
    ----------
    samples : (frames, channels)
        [1]
    faults : tuple of str
        What the sound system reported; each makes the take one to repeat.
    """

    samples: Array
    faults: tuple[str, ...] = ()


class SoundCard(Protocol):
    """Plays and records at once."""

    def play_and_record(self, samples: Array, rate_hz: int) -> Recorded:
        """Play (frames, channels) and record for just as long and a little longer.

        Raises
        ------
        CardError
        """
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """A sound device as PortAudio lists it.

    Attributes
    ----------
    number : int
    name, system : str
        `system` is the host's sound interface (ALSA, Core Audio, WASAPI, …).
    inputs, outputs : int
        Channels.
    rates_hz : tuple of int
        Those of 44.1 to 96 kHz that it takes. [Hz]
    why_not : str
        Why it is of no use; empty where it is.
    """

    number: int
    name: str
    system: str
    inputs: int
    outputs: int
    rates_hz: tuple[int, ...]
    why_not: str = ""


def list_devices() -> tuple[Device, ...]:
    """What PortAudio offers now.

    Raises
    ------
    CardError
        PortAudio is missing.
    """
    sd = _portaudio()
    # PortAudio looks for devices once; ask again for what was plugged in since.
    sd._terminate()
    sd._initialize()
    systems = sd.query_hostapis()
    return tuple(_device(sd, n, said, systems) for n, said in enumerate(sd.query_devices()))


@dataclass(frozen=True, slots=True, kw_only=True)
class PortAudioCard:
    """A card by PortAudio's numbers or names; None is the system's default.

    Attributes
    ----------
    output, input : int, str or None
    output_channel, input_channels : int
        Which output plays, from 1; how many inputs are recorded.
    """

    output: int | str | None = None
    input: int | str | None = None
    output_channel: int = 1
    input_channels: int = 1

    def play_and_record(self, samples: Array, rate_hz: int) -> Recorded:
        """Play, recording meanwhile; watch for streams that stop and for lost samples."""
        sd = _portaudio()
        signal = np.zeros((len(samples), self.output_channel), dtype=np.float32)
        signal[:, -1] = samples if samples.ndim == 1 else samples[:, 0]
        pad = np.zeros((round(PRE_ROLL_S * rate_hz), self.output_channel), dtype=np.float32)
        run = _Run(np.concatenate([pad, signal]), self.input_channels, rate_hz)
        try:
            common = {"samplerate": rate_hz, "latency": LATENCY_S, "dtype": "float32"}
            with (
                sd.InputStream(device=self.input, channels=self.input_channels, callback=run.hear, **common) as ear,
                sd.OutputStream(device=self.output, channels=self.output_channel, callback=run.play, **common) as mouth,
            ):
                run.wait(ear, mouth)
        except (sd.PortAudioError, ValueError) as problem:
            nothing = not list(sd.query_devices())  # PortAudio then speaks of "device -1"
            raise CardError(
                where="sound card",
                found="there is no sound device" if nothing else f"it does not open: {problem}",
                needed=f"{self.input_channels} inputs and {self.output_channel} outputs at {rate_hz} Hz",
                todo="See roomcheck devices, name others with --input and --output, or plug it in again.",
            ) from problem
        return Recorded(run.heard[: run.heard_frames].astype(np.float64), tuple(run.faults))


class _Run:
    """One play and record: what both callbacks share."""

    def __init__(self, signal: NDArray[np.float32], channels: int, rate_hz: int) -> None:
        self.signal, self.rate_hz = signal, rate_hz
        self.heard = np.zeros((len(signal) + round(2 * LATENCY_S * rate_hz), channels), dtype=np.float32)
        self.played_frames = self.heard_frames = 0
        self.faults: list[str] = []

    def play(self, out: Any, frames: int, _time: Any, status: Any) -> None:
        part = self.signal[self.played_frames : self.played_frames + frames]
        out[: len(part)] = part
        out[len(part) :] = 0
        self.played_frames += frames
        if status.output_underflow:
            self._note("the output ran dry", self.played_frames)

    def hear(self, data: Any, frames: int, _time: Any, status: Any) -> None:
        room = self.heard[self.heard_frames : self.heard_frames + frames]
        room[:] = data[: len(room)]
        self.heard_frames += len(room)
        if status.input_overflow:
            self._note("input samples were lost", self.heard_frames)

    def _note(self, what: str, frames: int) -> None:
        # Flags in the first second are always raised and mean nothing.
        if frames > PRE_ROLL_S * self.rate_hz:
            self.faults.append(f"{what} {frames / self.rate_hz - PRE_ROLL_S:.1f} s after the start")

    def wait(self, ear: Any, mouth: Any) -> None:
        """Until everything is recorded; an unplugged or frozen card raises nothing by itself."""
        last, since = -1, time.monotonic()
        while self.heard_frames < len(self.heard):
            time.sleep(0.02)
            if self.heard_frames != last:
                last, since = self.heard_frames, time.monotonic()
            if not (ear.active and mouth.active) or time.monotonic() - since > 3:
                raise CardError(
                    where="sound card",
                    found=f"it stopped after {self.heard_frames / self.rate_hz:.1f} s",
                    needed=f"{len(self.heard) / self.rate_hz:.1f} s",
                    todo="Check its cable, then repeat the take; finished takes are kept.",
                )


def _portaudio() -> Any:
    try:
        import sounddevice
    except OSError as problem:
        here = {"win32": "Windows", "darwin": "macOS"}.get(sys.platform, "Linux")
        others = "; ".join(f"{name}: {text}" for name, text in INSTALL.items() if name != here)
        raise CardError(
            where="PortAudio",
            found=f"the library is not on this machine ({problem})",
            needed="PortAudio, for playing and recording only: everything from files works without it",
            todo=f"Install it: {INSTALL[here]}. On other systems, {others}.",
        ) from problem
    return sounddevice


def _device(sd: Any, number: int, said: Any, systems: Any) -> Device:
    inputs, outputs = int(said["max_input_channels"]), int(said["max_output_channels"])
    rates = tuple(rate for rate in RATES_HZ if _takes(sd, number, rate, inputs, outputs))
    why = ""
    if inputs == outputs == 0:
        why = "no channels"
    elif not rates:
        why = "busy, or none of 44.1 to 96 kHz"
    elif 48_000 not in rates:
        why = "" if 44_100 in rates else "neither 44.1 nor 48 kHz"
    return Device(
        number=number,
        name=str(said["name"]),
        system=str(systems[said["hostapi"]]["name"]),
        inputs=inputs,
        outputs=outputs,
        rates_hz=rates,
        why_not=why,
    )


def _takes(sd: Any, number: int, rate: int, inputs: int, outputs: int) -> bool:
    try:
        if inputs:
            sd.check_input_settings(device=number, channels=1, samplerate=rate)
        if outputs:
            sd.check_output_settings(device=number, channels=1, samplerate=rate)
    except (sd.PortAudioError, ValueError):
        return False
    return True
