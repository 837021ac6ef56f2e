"""Hostile files at every place where a file of somebody else is read: refused in a sentence, at once, and
in little memory, or read as they stand."""

from __future__ import annotations

import os
import random
import shutil
import socket
import struct
import zlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import soundfile

from faults import Case, Plan
from faults_mutated import (
    ADD,
    MOST_MIB,
    RATE_HZ,
    WALL_S,
    Call,
    command,
    copied,
    ground_in,
    measured_again,
    wrong_in,
)
from forked import in_fork

TITLE = "Hostile files"

Make = Callable[[Path], object]


def _fifo(path: Path) -> None:
    os.mkfifo(path)


def _socket(path: Path) -> None:
    here = Path.cwd()
    os.chdir(path.parent)  # names of sockets are short
    try:
        with socket.socket(socket.AF_UNIX) as made:
            made.bind(path.name)
    finally:
        os.chdir(here)


def _chain(path: Path) -> None:
    for i in range(60):
        path.with_name(f"link-{i}").symlink_to(path.with_name(f"link-{i + 1}").name)
    path.symlink_to("link-0")


ODD: dict[str, Make] = {
    "a pipe": _fifo,
    "a device without end": lambda path: path.symlink_to("/dev/zero"),
    "a device without content": lambda path: path.symlink_to("/dev/null"),
    "a link to itself": lambda path: path.symlink_to(path.name),
    "a link to nothing": lambda path: path.symlink_to("nothing"),
    "sixty links": _chain,
    "a folder": lambda path: path.mkdir(),
    "a socket": _socket,
    "nothing in it": lambda path: path.write_bytes(b""),
    "noise": lambda path: path.write_bytes(random.Random(1).randbytes(50_000)),
    "zeros": lambda path: path.write_bytes(bytes(50_000)),
    "UTF-16": lambda path: path.write_bytes("schema = 2\n".encode("utf-16")),
    "a hole of 4 GiB": lambda path: _hole(path, 1 << 32),
}
"""Put at every place."""

TEXTS: dict[str, Make] = {
    "a text of 100 MB": lambda path: path.write_text('x = "' + "a" * 100_000_000 + '"\n'),
    "a key 20,000 deep": lambda path: path.write_text(".".join("a" * 20_000) + " = 1\n"),
    "brackets 50,000 deep": lambda path: path.write_text("x = " + "[" * 50_000),
    "tables 300 deep": lambda path: path.write_text(
        "\n".join(f"[{'.'.join('a' * n)}]" for n in range(1, 300))
    ),
    "2,000 patches on one place": lambda path: _patches(path, 2_000),
    "100,000 patches": lambda path: path.write_text('[[patch]]\nname = "a"\n' * 100_000),
    "300,000 keys": lambda path: path.write_text("".join(f"k{i} = 1\n" for i in range(300_000))),
    "60,000 keys": lambda path: path.write_text("".join(f"k{i} = 1\n" for i in range(60_000))),
    "a number of 100,000 digits": lambda path: path.write_text("x = " + "9" * 100_000 + "\n"),
    "a newer schema": lambda path: path.write_text("schema = 99\n"),
}
"""Put where a TOML file is read."""


def _hole(path: Path, size: int, head: bytes = b"") -> None:
    with path.open("wb") as file:
        file.write(head)
        file.truncate(size)


def _patches(path: Path, count: int) -> None:
    one = '[[patch]]\nname = "p{}"\nface = "north"\nmaterial = "brick"\nleft = "1 ft"\nbottom = "1 ft"\nwidth = "1 ft"\nheight = "1 ft"\n'
    head = path.read_text("utf-8") if path.is_file() else ""
    path.unlink(missing_ok=True)
    path.write_text(head + "\n" + "".join(one.format(i) for i in range(count)), "utf-8")


def _wav_head(rate_hz: int, channels: int, said: int, kind: int = 1, bits: int = 16) -> bytes:
    rest = struct.pack(
        "<IHHIIHH", 16, kind, channels, rate_hz, 0, channels * bits // 8 % 65536, bits
    )
    return (
        b"RIFF"
        + struct.pack("<I", (said + 36) % 2**32)
        + b"WAVEfmt "
        + rest
        + b"data"
        + struct.pack("<I", said)
    )


def _sound(path: Path, **how: object) -> bytes:
    rng = np.random.default_rng(1)
    soundfile.write(path, 0.2 * rng.standard_normal(RATE_HZ), RATE_HZ, **how)  # type: ignore[arg-type]
    return path.read_bytes()


def _flac(claimed: int) -> Make:
    def make(path: Path) -> None:
        data = _sound(path, format="FLAC")
        said = (int.from_bytes(data[18:26], "big") >> 36 << 36) | claimed
        path.write_bytes(data[:18] + said.to_bytes(8, "big") + data[26:])

    return make


def _with_head(head: bytes) -> Make:
    return lambda path: path.write_bytes(head + _sound(path, format="WAV", subtype="PCM_16")[44:])


def _silence(path: Path) -> None:
    with soundfile.SoundFile(path, "w", RATE_HZ, 1, "PCM_16", format="FLAC") as file:
        for _ in range(6 * 36):
            file.write(np.zeros(100 * RATE_HZ, dtype=np.int16))


SOUNDS: dict[str, Make] = {
    "a streamed FLAC": _flac(0),
    "a FLAC that claims 2^36 - 1 samples": _flac((1 << 36) - 1),
    "a FLAC that claims 4.1e9 samples": _flac(4_100_000_000),
    "a FLAC that claims 1 sample": _flac(1),
    "six hours of silence in a small FLAC": _silence,
    "a WAV that claims 4 GiB": _with_head(_wav_head(RATE_HZ, 1, 2**32 - 256)),
    "a WAV of 104 minutes of zeros": lambda path: _hole(path, 44 + 600_000_000, _wav_head(RATE_HZ, 1, 600_000_000)),
    "a WAV that does not seek (GSM 6.10)": lambda path: _sound(path, format="WAV", subtype="GSM610"),
    "a WAV at 0 Hz": _with_head(_wav_head(0, 1, 96_000)),
    "a WAV at 2 GHz": _with_head(_wav_head(2_000_000_000, 1, 96_000)),
    "a WAV at a prime rate": _with_head(_wav_head(767_957, 1, 96_000)),
    "a WAV of no channels": _with_head(_wav_head(RATE_HZ, 0, 96_000)),
    "a WAV of 1024 channels": _with_head(_wav_head(RATE_HZ, 1024, 90_112)),
    "a WAV of no known kind": _with_head(_wav_head(RATE_HZ, 1, 96_000, kind=0x6771)),
    "a WAV of NaN": lambda path: soundfile.write(path, np.full(96_000, np.nan), RATE_HZ, format="WAV", subtype="FLOAT"),
    "a WAV of 1e30": lambda path: soundfile.write(path, np.full(96_000, 1e30), RATE_HZ, format="WAV", subtype="FLOAT"),
    "a WAV without sound": lambda path: path.write_bytes(_wav_head(RATE_HZ, 1, 0)),
    "samples without a header": lambda path: path.write_bytes(np.zeros(RATE_HZ, dtype="<i2").tobytes()),
    "a ZIP": lambda path: path.write_bytes(b"PK\x03\x04" + bytes(5000)),
    "an MP4 cut off": lambda path: path.write_bytes(b"\0\0\0\x20ftypM4A " + bytes(3000)),
    "an OGG of its first page": lambda path: path.write_bytes(_sound(path, format="OGG")[:60]),
}  # fmt: skip
"""Put where a recording is read."""

NAMES = (b"bad\xff.wav", b"new\nline.wav", b"\x1b[31mred.wav", "\u202egnp.wav".encode(), b"x.toml", b"-rf.wav", b" .wav",
         b"a" * 240 + b".wav", "ü好.wav".encode(), b"S1-P2.wav", b".hidden.wav", b"no-ending", b"x.raw")  # fmt: skip
"""Of a good recording."""

SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">{}</svg>'
LAUGH = "".join(f'<!ENTITY a{i} "{f"&a{i - 1};" * 10}">' for i in range(1, 12))
USE = '<use href="#a{}"/>'
COPIES = "".join(f'<g id="a{i}">{USE.format(i - 1) * 10}</g>' for i in range(1, 9))
LOGOS: dict[str, bytes] = {
    "entities of entities": f'<!DOCTYPE svg [<!ENTITY a0 "ha">{LAUGH}]>{SVG.format("<title>&a11;</title>")}'.encode(),
    "an outer entity": f'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]>{SVG.format("<title>&a;</title>")}'.encode(),
    "a linked picture": SVG.format('<image href="/etc/passwd"/>').encode(),
    "a script": SVG.format("<script>1</script>").encode(),
    "copies of copies": SVG.format(COPIES).encode(),
    "groups 100,000 deep": (SVG.format("").replace("</svg>", "") + "<g>" * 100_000).encode(),
    "a size of nothing": b'<svg xmlns="http://www.w3.org/2000/svg" width="0" height="0"/>',
}


def _png(width: int, height: int) -> bytes:
    def chunk(name: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        )

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
    return (
        b"\x89PNG\r\n\x1a\n"
        + head
        + chunk(b"IDAT", zlib.compress(bytes(20_000_000)))
        + chunk(b"IEND", b"")
    )


def _take(top: Path) -> Call:
    return lambda: measured_again(top / "room")


def _add(top: Path, name: str, *more: str) -> Call:
    return command(
        "add",
        str(top / "room"),
        str(top / name),
        *ADD,
        "--sure",
        "--sweep",
        str(top / "sweep.toml"),
        *more,
    )


PLACES: dict[str, tuple[str, Callable[[Path], Call]]] = {
    "the job's file": ("room/job.toml", lambda top: command("check", str(top / "room"))),
    "the shop's file": (
        "room/shop.toml",
        lambda top: command("list", "stock", "--job", str(top / "room")),
    ),
    "the logo": ("room/mark.svg", lambda top: command("check", str(top / "room"))),
    "the agreement": (
        "room/signed/agreement.toml",
        lambda top: command("quote", str(top / "room")),
    ),
    "a change order": (
        "room/signed/change-1.toml",
        lambda top: command("quote", str(top / "room"), "--invoice", "1"),
    ),
    "facts of a take": ("room/takes/before/S1-P1.toml", _take),
    "a take": ("room/takes/before/S1-P1.wav", _take),
    "facts of a sweep": ("sweep.toml", lambda top: _add(top, "rec.wav")),
    "a recording to add": ("rec.wav", lambda top: _add(top, "rec.wav")),
    "a microphone's file": (
        "mic.txt",
        lambda top: _add(top, "rec.wav", "--microphone-file", str(top / "mic.txt")),
    ),
    "a kept state": ("room/history/000001.toml", lambda top: command("undo", str(top / "room"))),
}
"""Where it lies, and the command that reads it."""

TOML = ("the job's file", "the shop's file", "the agreement", "a change order", "facts of a take", "facts of a sweep", "a kept state")  # fmt: skip


def plan(ground: Path, share: float, seed: int) -> Plan:
    """`share` of the cases; the seed decides which."""
    made = [(place, name, make) for place in PLACES for name, make in ODD.items()]
    made += [(place, name, make) for place in TOML for name, make in TEXTS.items()]
    made += [
        (place, name, make)
        for place in ("a take", "a recording to add")
        for name, make in SOUNDS.items()
    ]
    made += [("the logo", name, _bytes(data)) for name, data in LOGOS.items()]
    made += [("the logo", "a PNG that says 65,000 x 65,000", _bytes(_png(65_000, 65_000)))]
    random.Random(seed).shuffle(made)
    job = ground_in(ground)

    def case(where: str, name: str, make: Make) -> Case:
        return Case(sort=where, name=name, run=lambda: _case(job, where, name, make))

    def named(raw: bytes) -> Case:
        return Case(sort="names of a recording", name=ascii(raw), run=lambda: _named(job, raw))

    cases = [case(*one) for one in made[: max(round(share * len(made)), 1)]]
    cases += [named(raw) for raw in NAMES[: max(round(share * len(NAMES)), 1)]]
    kinds = len(ODD) + len(TEXTS) + len(SOUNDS) + len(LOGOS) + 1 + len(NAMES)
    remark = (
        f"{kinds} kinds of file at {len(PLACES)} places; {MOST_MIB:.0f} MiB at most, 20 s at most."
    )
    return Plan(cases=cases, remarks=(remark,))


def _bytes(data: bytes) -> Make:
    return lambda path: path.write_bytes(data)


def _case(ground: Path, where: str, name: str, make: Make) -> str | None:
    with copied(ground) as work:
        file, command = PLACES[where]
        path = work / file
        if "patches on one" not in name:
            path.unlink(missing_ok=True)
        make(path)
        return wrong_in(in_fork(command(work), wall_s=WALL_S)) or None


def _named(ground: Path, raw: bytes) -> str | None:
    """A good recording of any name is taken, and what was taken can be read again."""
    with copied(ground) as work:
        name = os.fsdecode(raw)
        shutil.copy(work / "rec.wav", os.fsencode(work) + b"/" + raw)
        ended = in_fork(_add(work, name, "--keep-anyway"), wall_s=WALL_S)
        read = in_fork(_take(work), wall_s=WALL_S)
    refused = "" if ended.code == 0 else f"refused: {ended.last_line[:160]}"
    lost = "" if read.code == 0 else f"not read again: {read.last_line[:160]}"
    return wrong_in(ended) or refused or wrong_in(read) or lost or None
