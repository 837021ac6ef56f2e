"""A sound card that is not there: a private sound server, heard and played to through PortAudio.

Linux only: PulseAudio, its ALSA plugin and PortAudio (Debian: pulseaudio, pulseaudio-utils,
libasound2-plugins, libportaudio2). The server has its own runtime folder, socket, and ALSA
configuration, all handed on by environment variables to the processes that the tests start; the
user's own sound is never touched.
"""

from __future__ import annotations

import contextlib
import ctypes.util
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

RATE_HZ = 48_000
ROOM_PROCESS = Path(__file__).with_name("virtual_room.py")
SINK = f"rate={RATE_HZ} channels=2 format=float32le"


def missing() -> str:
    """Which package is not here; empty where all are."""
    if not sys.platform.startswith("linux"):
        return "a virtual sound card is made on Linux only"
    lacking = [
        name for name in ("pulseaudio", "pactl", "parec", "pacat") if shutil.which(name) is None
    ]
    if not list(Path("/usr/lib").glob("*/alsa-lib/libasound_module_pcm_pulse.so")):
        lacking.append("ALSA's pulse plugin (libasound2-plugins)")
    if ctypes.util.find_library("portaudio") is None:
        lacking.append("PortAudio (libportaudio2)")
    return f"not installed: {', '.join(lacking)}" if lacking else ""


class VirtualCard:
    """A loudspeaker, a microphone, and a room between them."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.response: NDArray[np.float64] = np.array([1.0])
        self.noise = 0.0
        self._server: subprocess.Popen[bytes] | None = None
        self._room: subprocess.Popen[bytes] | None = None

    @property
    def environment(self) -> dict[str, str]:
        """For a process that is to play and record here."""
        here = str(self.folder)
        own = {
            "HOME": here,
            "XDG_RUNTIME_DIR": here,
            "XDG_CONFIG_HOME": here,
            "PULSE_RUNTIME_PATH": here,
            "PULSE_SERVER": f"unix:{here}/socket",
            "ALSA_CONFIG_PATH": f"{here}/asound.conf",
            "OPENBLAS_NUM_THREADS": "1",
            "PYTHONPATH": str(Path(__file__).resolve().parents[2]),
        }
        kept = {
            key: value
            for key, value in os.environ.items()
            if not key.startswith(("PULSE_", "DBUS_"))
        }
        return {**kept, **own}

    def start(self) -> None:
        (self.folder / "asound.conf").write_text(
            "pcm.speaker { type pulse device speaker }\n"
            "pcm.microphone { type pulse device room.monitor }\n"
            "pcm.pocket { type pulse device pocket }\n"
            "pcm.!default { type pulse }\nctl.!default { type pulse }\n",
            encoding="utf-8",
        )
        (self.folder / "daemon.conf").write_text(
            f"default-sample-rate = {RATE_HZ}\ndefault-sample-format = float32le\n",
            encoding="utf-8",
        )
        command = [
            "pulseaudio",
            "-n",
            "--daemonize=no",
            "--use-pid-file=no",
            "--disable-shm=yes",
            "--exit-idle-time=60",
        ]
        command += ["--log-target=stderr", "--log-level=error"]
        command += [
            "-L",
            f"module-native-protocol-unix socket={self.folder}/socket auth-anonymous=1",
        ]
        with (self.folder / "server.log").open("wb") as log:
            self._server = subprocess.Popen(
                command,
                env={**self.environment, "PULSE_CONFIG": f"{self.folder}/daemon.conf"},
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        for _ in range(200):
            if self._server.poll() is not None:
                break
            if self._pactl("info", check=False) == 0:
                self.plug()
                return
            time.sleep(0.1)
        said = (self.folder / "server.log").read_text(errors="replace")
        self.stop()
        raise RuntimeError(f"the sound server did not start: {said[-400:]}")

    def stop(self) -> None:
        self._end(self._room)
        self._end(self._server)
        self._room = self._server = None

    def plug(self) -> None:
        """Both devices come."""
        for name in ("speaker", "room"):
            self._pactl("load-module", "module-null-sink", f"sink_name={name}", *SINK.split())
        # A microphone of one channel.
        one = "channels=1 channel_map=mono master_channel_map=front-left remix=no"
        self._pactl(
            "load-module",
            "module-remap-source",
            "source_name=pocket",
            "master=room.monitor",
            *one.split(),
        )
        self._pactl("set-default-sink", "speaker")
        self._pactl("set-default-source", "room.monitor")
        self._hang_room()

    def unplug(self) -> None:
        """Both devices go, whoever uses them."""
        self._end(self._room)
        self._pactl("unload-module", "module-null-sink")

    def be_room(self, response: NDArray[np.float64], noise: float = 0.0) -> None:
        """Another room between the devices; `noise` is RMS re full scale."""
        self.response, self.noise = response, noise
        self._hang_room()

    def mute(self, on: bool) -> None:
        self._pactl("set-source-mute", "room.monitor", str(int(on)))

    @contextlib.contextmanager
    def frozen(self) -> Iterator[None]:
        """The server stands still."""
        assert self._server is not None
        os.kill(self._server.pid, signal.SIGSTOP)
        try:
            yield
        finally:
            os.kill(self._server.pid, signal.SIGCONT)

    def run(self, *argv: object, **more: object) -> subprocess.Popen[str]:
        """`roomcheck …` as its own process here."""
        return self.python("-m", "roomcheck", *argv, **more)

    def python(self, *argv: object, **more: object) -> subprocess.Popen[str]:
        options = {
            "stdin": subprocess.DEVNULL,
            "stdout": subprocess.PIPE,
            "stderr": subprocess.PIPE,
            **more,
        }
        command = [sys.executable, *(str(arg) for arg in argv)]
        return subprocess.Popen(command, env=self.environment, text=True, **options)  # type: ignore[call-overload]

    def _hang_room(self) -> None:
        self._end(self._room)
        np.save(self.folder / "response.npy", self.response)
        command = [
            sys.executable,
            str(ROOM_PROCESS),
            str(self.folder / "response.npy"),
            str(self.noise),
        ]
        with (self.folder / "room.log").open("ab") as log:
            self._room = subprocess.Popen(
                [*command, "speaker", "room"],
                env=self.environment,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        # Heard as soon as it plays into the room's sink.
        for _ in range(200):
            listed = subprocess.run(
                ["pactl", "list", "short", "sink-inputs"],
                env=self.environment,
                capture_output=True,
                text=True,
                check=False,
            )
            if listed.stdout.strip():
                return
            time.sleep(0.1)
        raise RuntimeError(
            "the room did not come up: "
            f"{(self.folder / 'room.log').read_text(errors='replace')[-400:]}"
        )

    def _pactl(self, *argv: str, check: bool = True) -> int:
        done = subprocess.run(
            ["pactl", *argv], env=self.environment, capture_output=True, text=True, check=False
        )
        if check and done.returncode:
            raise RuntimeError(f"pactl {' '.join(argv)}: {done.stderr.strip()}")
        return done.returncode

    @staticmethod
    def _end(process: subprocess.Popen[bytes] | None) -> None:
        """A process that was started here, with its own children."""
        if process is None or process.poll() is not None:
            return
        for sign in (signal.SIGCONT, signal.SIGTERM, signal.SIGKILL):
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, sign)
            if sign != signal.SIGCONT:
                with contextlib.suppress(subprocess.TimeoutExpired):
                    process.wait(5)
                    return
