"""A room between a sound server's playback and its capture; run by `virtual_card.py` as a process
of its own.

    python virtual_room.py RESPONSE.npy NOISE SPEAKER ROOM

What is played to the sink SPEAKER, both channels averaged, comes out of the sink ROOM: on channel 1
through the response, with noise, on channel 2 as it was, as through a cable. It ends when its
parent does.
"""

from __future__ import annotations

import os
import subprocess
import sys

import numpy as np
from scipy import fft

RATE_HZ = 48_000
BLOCK = 2048


def main(response_file: str, noise: str, speaker: str, room: str) -> None:
    response, parent = np.load(response_file), os.getppid()
    stream = ("--raw", "--format=float32le", f"--rate={RATE_HZ}", "--channels=2")
    ear = subprocess.Popen(
        ["parec", *stream, f"--device={speaker}.monitor", "--latency-msec=30"],
        stdout=subprocess.PIPE,
    )
    mouth = subprocess.Popen(
        ["pacat", *stream, f"--device={room}", "--latency-msec=450"], stdin=subprocess.PIPE
    )
    assert ear.stdout is not None
    assert mouth.stdin is not None
    size = fft.next_fast_len(BLOCK + len(response), real=True)
    spectrum = fft.rfft(response, size)
    ringing, hiss = np.zeros(size), np.random.default_rng(7)
    out = np.zeros((BLOCK, 2), dtype="<f4")
    try:
        while os.getppid() == parent:
            block = ear.stdout.read(8 * BLOCK)
            if len(block) < 8 * BLOCK:
                break
            dry = np.frombuffer(block, dtype="<f4").reshape(BLOCK, 2).mean(axis=1, dtype=np.float64)
            ringing = np.concatenate([ringing[BLOCK:], np.zeros(BLOCK)]) + fft.irfft(
                fft.rfft(dry, size) * spectrum, size
            )
            out[:, 0] = ringing[:BLOCK] + float(noise) * hiss.standard_normal(BLOCK)
            out[:, 1] = dry
            mouth.stdin.write(out.tobytes())
            mouth.stdin.flush()
    except BrokenPipeError:
        pass
    finally:
        ear.kill()
        mouth.kill()


if __name__ == "__main__":
    main(*sys.argv[1:])
