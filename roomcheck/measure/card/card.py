"""The sound card: what it must do, and the one behind PortAudio.

Two streams, one out and one in, of the system's own block size; what is heard is aligned by the
signal, never by a reported latency.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.measure.card.portaudio import hushed, let_go, portaudio, within
from roomcheck.measure.faults import CardError
from roomcheck.measure.kinds import Take, Unusable

PRE_ROLL_S = 1.0
"""Silence before the signal: the first samples played may not be recorded. [s]"""

LATENCY_S = 0.2
LAG_S = 0.6
"""What is heard comes up to half a second after what is played; measured on sound servers. [s]"""

STILL_S = 3.0
"""A card that brings nothing new for so long has stopped. [s]"""

RATES_HZ = (44_100, 48_000, 88_200, 96_000)

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Recorded:
    """What came in while something was played."""

    samples: Array
    """Full scale is 1: (frames, channels) [1]."""
    faults: tuple[Fact[Take], ...] = ()
    """What the sound system reported; each makes the take one to repeat."""


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
    """A sound device as PortAudio lists it."""

    number: int
    """PortAudio's own, for --input and --output."""
    name: str
    system: str
    """The host's sound interface (ALSA, Core Audio, WASAPI, …)."""
    inputs: int
    """Channels in."""
    outputs: int
    """Channels out."""
    records_hz: tuple[int, ...]
    """Rates of 44.1 to 96 kHz at which it opens for recording [Hz]."""
    plays_hz: tuple[int, ...]
    """Rates of 44.1 to 96 kHz at which it opens for playing [Hz]."""
    why_not: Fact[Unusable] | None = None
    """Why it is of no use; None where it is."""
    is_default: bool = False
    """Whether the system takes it where none is named."""


def list_devices() -> tuple[Device, ...]:
    """What PortAudio offers now.

    Raises
    ------
    CardError
        PortAudio is missing, or the sound system does not answer.
    """
    sd = portaudio()

    def look() -> tuple[Device, ...]:
        # PortAudio looks for devices once; ask again for what was plugged in since.
        sd._terminate()
        sd._initialize()
        systems = sd.query_hostapis()
        usual = set(sd.default.device)
        return tuple(
            _device(sd, n, said, systems, n in usual) for n, said in enumerate(sd.query_devices())
        )

    with hushed():
        return within(look)


@dataclass(frozen=True, slots=True, kw_only=True)
class PortAudioCard:
    """A card by PortAudio's numbers or names; None is the system's default."""

    output: int | str | None = None
    input: int | str | None = None
    output_channel: int = 1
    """Which output plays, from 1."""
    input_channels: int = 1
    """How many inputs are recorded."""
    stop: Callable[[], bool] | None = None
    """Asked 50 times a second while it plays; True ends the sound at once."""

    def play_and_record(self, samples: Array, rate_hz: int) -> Recorded:
        """Play, recording meanwhile; watch for streams that stop and for lost samples."""
        sd = portaudio()
        streams: list[Any] = []
        try:
            with hushed():
                ins, outs = within(lambda: self._channels(sd))
                pad = round(PRE_ROLL_S * rate_hz)
                signal = np.zeros((pad + len(samples), outs), dtype=np.float32)
                signal[pad:, self.output_channel - 1] = (
                    samples if samples.ndim == 1 else samples[:, 0]
                )
                run = _Run(signal, ins, rate_hz)
                within(lambda: self._open(sd, run, rate_hz, streams))
                run.wait(streams[0], streams[1], stop=self.stop)
        except (sd.PortAudioError, ValueError) as problem:
            raise self._refused(sd, rate_hz, problem) from problem
        finally:
            let_go(*streams)
        heard = run.heard[: run.heard_frames, : self.input_channels].astype(np.float64)
        return Recorded(heard, tuple(run.faults))

    def _channels(self, sd: Any) -> tuple[int, int]:
        """How many channels to open: two at least where there are two.

        Opened with one, sound servers play to both loudspeakers and mix both inputs into one.
        """
        known = (
            int(sd.query_devices(device, kind)[f"max_{kind}_channels"])
            for device, kind in ((self.input, "input"), (self.output, "output"))
        )
        wanted = (self.input_channels, self.output_channel)
        most = tuple(max(want, min(2, there)) for want, there in zip(wanted, known, strict=True))
        return most[0], most[1]

    def _open(self, sd: Any, run: _Run, rate_hz: int, streams: list[Any]) -> None:
        common = {"samplerate": rate_hz, "latency": LATENCY_S, "dtype": "float32"}
        streams.append(
            sd.InputStream(
                device=self.input, channels=run.heard.shape[1], callback=run.hear, **common
            ),
        )
        streams.append(
            sd.OutputStream(
                device=self.output, channels=run.signal.shape[1], callback=run.play, **common
            ),
        )
        for stream in streams:
            stream.start()

    def _refused(self, sd: Any, rate_hz: int, problem: Exception) -> CardError:
        """Why it does not open, in plain words."""
        said = str(problem).partition("[PaErrorCode")[0].strip()
        with hushed():
            nothing = not list(sd.query_devices())  # PortAudio then speaks of "device -1"
            other = (
                []
                if nothing
                else [rate for rate in RATES_HZ if rate != rate_hz and self._takes(sd, rate)]
            )
            rate_is_it = bool(other) and not self._takes(sd, rate_hz)
        todo = "See roomcheck devices; name others with --input and --output, or plug it in again."
        if nothing:
            found = "there is no sound device"
        elif rate_is_it:
            rates = ", ".join(str(rate) for rate in other)
            found = f"it does not run at {rate_hz} Hz, but at {rates} Hz"
            todo = f"Use --rate {48_000 if 48_000 in other else other[0]}."
        else:
            found = f"it does not open ({said})"
        plural = "" if self.input_channels == 1 else "s"
        return CardError(
            where=f"sound card (input {_named(self.input)}, output {_named(self.output)})",
            found=found,
            needed=(
                f"{self.input_channels} input{plural} and output {self.output_channel} at "
                f"{rate_hz} Hz"
            ),
            todo=todo,
        )

    def _takes(self, sd: Any, rate_hz: int) -> bool:
        return _opens(
            sd.check_input_settings, sd, self.input, self.input_channels, rate_hz
        ) and _opens(sd.check_output_settings, sd, self.output, self.output_channel, rate_hz)


class _Run:
    """One play and record: what both callbacks share."""

    def __init__(self, signal: NDArray[np.float32], channels: int, rate_hz: int) -> None:
        self.signal, self.rate_hz = signal, rate_hz
        self.heard = np.zeros((len(signal) + round(LAG_S * rate_hz), channels), dtype=np.float32)
        self.played_frames = self.heard_frames = 0
        self.faults: list[Fact[Take]] = []

    def play(self, out: Any, frames: int, _time: Any, status: Any) -> None:
        part = self.signal[self.played_frames : self.played_frames + frames]
        out[: len(part)] = part
        out[len(part) :] = 0
        self.played_frames += frames
        if status.output_underflow:
            self._note(Take.OUTPUT_RAN_DRY, self.played_frames)

    def hear(self, data: Any, frames: int, _time: Any, status: Any) -> None:
        room = self.heard[self.heard_frames : self.heard_frames + frames]
        room[:] = data[: len(room)]
        self.heard_frames += len(room)
        if status.input_overflow:
            self._note(Take.INPUT_LOST, self.heard_frames)

    def _note(self, kind: Take, frames: int) -> None:
        # Flags in the first second are always raised and mean nothing.
        if frames > PRE_ROLL_S * self.rate_hz:
            self.faults.append(fact(kind, after_s=frames / self.rate_hz - PRE_ROLL_S))

    def wait(self, ear: Any, mouth: Any, stop: Callable[[], bool] | None = None) -> None:
        """Until everything is recorded; an unplugged or frozen card raises nothing by itself."""
        last, since = -1, time.monotonic()
        while self.heard_frames < len(self.heard):
            time.sleep(0.02)
            if self.heard_frames != last:
                last, since = self.heard_frames, time.monotonic()
            if stop is not None and stop():
                raise CardError(
                    where="sound card",
                    found="it was stopped",
                    needed="a whole sweep",
                    todo="Nothing was kept of this take; start it again when you are ready.",
                )
            if not (ear.active and mouth.active) or time.monotonic() - since > STILL_S:
                raise CardError(
                    where="sound card",
                    found=f"it stopped after {self.heard_frames / self.rate_hz:.1f} s",
                    needed=f"{len(self.heard) / self.rate_hz:.1f} s",
                    todo="Check its cable, then repeat the take; finished takes are kept.",
                )


def _named(device: int | str | None) -> str:
    return "of the system" if device is None else str(device)


def _device(sd: Any, number: int, said: Any, systems: Any, is_default: bool) -> Device:
    inputs, outputs = int(said["max_input_channels"]), int(said["max_output_channels"])
    records = tuple(
        r for r in RATES_HZ if inputs and _opens(sd.check_input_settings, sd, number, 1, r)
    )
    plays = tuple(
        r for r in RATES_HZ if outputs and _opens(sd.check_output_settings, sd, number, 1, r)
    )
    why = None
    if inputs == outputs == 0:
        why = fact(Unusable.NO_CHANNELS)
    elif not records and not plays:
        why = fact(Unusable.NO_RATE, low_hz=RATES_HZ[0], high_hz=RATES_HZ[-1])
    elif not {44_100, 48_000} & {*records, *plays}:
        why = fact(Unusable.ODD_RATES)
    return Device(
        number=number,
        name=str(said["name"]),
        system=str(systems[said["hostapi"]]["name"]),
        inputs=inputs,
        outputs=outputs,
        records_hz=records,
        plays_hz=plays,
        why_not=why,
        is_default=is_default,
    )


def _opens(check: Any, sd: Any, device: int | str | None, channels: int, rate_hz: int) -> bool:
    try:
        check(device=device, channels=channels, samplerate=rate_hz)
    except (sd.PortAudioError, ValueError):
        return False
    return True
