"""Mutated inputs of every file kind and command: no traceback, no hang, no memory without end, and
no value read otherwise than a second reader reads the same text.

Files are cut, flipped, joined, and edited key by key; words of commands are exchanged for others.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import random
import shutil
import tomllib
import zipfile
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

import second_reader
from faults import Case, Plan
from forked import Ended, in_fork

TITLE = "Mutated inputs of every file kind and command"

HANG_S, WALL_S, MOST_MIB = 20.0, 120.0, 1024.0
"""A case hangs that takes more processor time, or is killed after so long on a busy machine."""

CASES = {
    "lengths": 2400,
    "job.toml": 2400,
    "shop.toml": 1000,
    "facts of a take": 500,
    "facts of a sweep": 300,
    "recordings": 700,
    "signed agreement": 500,
    "change order": 300,
    "kept results": 300,
    "microphone file": 300,
    "logo": 300,
    "history": 200,
    "packed job": 300,
    "facts of a background": 200,
    "commands": 1000,
}
"""How many of each; 10,700 in all."""

RATE_HZ = 48_000

JUNK: tuple[Any, ...] = (
    "", " ", "x", "\u202e", "\x1b[31m", "nan", "inf", "-1", "0", "1e999", "9" * 40, "12' 4\"", "3 m",
    "A" * 300, "../x", "/etc/passwd", "=1+1", "#read", "<b>", "%s", "{}", "$x$", "ü", "好", "true", "1.250,5 mm", "5' 13\"",
    0, -1, 1, 10**18, 2**63 - 1, 0.5, float("nan"), float("inf"), -0.0, True, [], [1], [[]], ["x"], {}, {"x": 1},
)  # fmt: skip
LENGTH_PARTS = (
    "12", "4", "0", "3.5", "2,5", "1,250", "1.250,5", ".5", "1/2", "3/4", "5/4", "1/0", "½", "¾", "13", " ", " ", "  ", "-", " - ", "--", "+", "'", "\"", "''", "′", "″", "ft",
    "ft.", "feet", "in", "in.", "inches", "m", "cm", "mm", "metres", "yd", ",", ", ", ".", "x", "\u00a0", "\u200b", "4 1/2", "10",
)  # fmt: skip

Call = Callable[[], int | None]
"""What runs in the fork; its result is the exit code."""


def plan(ground: Path, share: float, seed: int) -> Plan:
    """`share` of the cases."""
    job = ground_in(ground)
    warm(job)

    def case(sort: str, number: int) -> Case:
        return Case(
            sort=sort,
            name=f"number {number}",
            run=lambda: _case(sort, job, random.Random(f"{seed} {sort} {number}")),
        )

    remark = (
        f"A case goes wrong by a traceback, {HANG_S:.0f} s of processor time, {MOST_MIB:.0f} MiB, a value "
        "that a second reader reads otherwise, or an exit that is neither 0 nor 2."
    )
    counts = {sort: max(round(share * count), 1) for sort, count in CASES.items()}
    cases = [case(sort, number) for sort, count in counts.items() for number in range(count)]
    return Plan(cases=cases, remarks=(remark,))


def _case(sort: str, ground: Path, rng: random.Random) -> str | None:
    if sort == "lengths":
        return _length_case(rng)
    with copied(ground) as work:
        call, what = _SORTS[sort](work / "room", rng)
        ended = in_fork(call, wall_s=WALL_S)
    wrong = wrong_in(ended)
    return f"{wrong} ({what})" if wrong else None


def warm(ground: Path) -> None:
    """In this process, run what each sort runs: its forks need not import that again.

    Not the typesetter: it works with threads, and stands still in a fork of a process where it has
    worked.
    """
    import typst

    here, set_page = Path.cwd(), typst.compile
    typst.compile = lambda *_, **__: b""  # type: ignore[assignment]
    try:
        _run_once(ground)
    finally:
        typst.compile = set_page
        os.chdir(here)


def _run_once(ground: Path) -> None:
    here = Path.cwd()
    for sort, make in _SORTS.items():
        with (
            copied(ground) as work,
            contextlib.redirect_stdout(io.StringIO()),
            contextlib.redirect_stderr(io.StringIO()),
            contextlib.suppress(Exception, SystemExit),
        ):
            call, _ = make(work / "room", random.Random(f"warm {sort}"))
            call()
        os.chdir(here)
    for words in (
        ["check", "ROOM"],
        ["quote", "ROOM", "--json"],
        ["list", "stock", "--job", "ROOM"],
    ):
        with (
            contextlib.redirect_stdout(io.StringIO()),
            contextlib.redirect_stderr(io.StringIO()),
            copied(ground) as work,
        ):
            command(*(word.replace("ROOM", str(work / "room")) for word in words))()


@contextlib.contextmanager
def copied(ground: Path) -> Iterator[Path]:
    """The ground once more, in no time: its files are links, so `rewrite` alone may write into them."""
    work = ground.parent / "work"
    shutil.rmtree(work, ignore_errors=True)
    shutil.copytree(ground, work, symlinks=True, copy_function=os.link)
    try:
        yield work
    finally:
        shutil.rmtree(work, ignore_errors=True)


def rewrite(path: Path, data: bytes) -> None:
    """Write a file of a copy; the ground's own stays."""
    path.unlink(missing_ok=True)
    path.write_bytes(data)


def wrong_in(ended: Ended) -> str:
    """What is wrong with how a call ended; empty where nothing is."""
    if ended.fell:
        return f"a traceback: {ended.last_line[:160]}"
    if ended.late or ended.cpu_s > HANG_S:
        return f"{ended.cpu_s:.0f} s of processor time"
    if ended.peak_mib > MOST_MIB:
        return f"{ended.peak_mib:.0f} MiB"
    if ended.code not in (0, 2):
        return f"exit {ended.code}: {ended.last_line[:160]}"
    return ""


# --- the ground


def ground_in(place: Path) -> Path:
    """A job with a recording, what was signed, a shop's file with a logo, and states to go back to."""
    import soundfile

    import roomcheck
    from roomcheck.cli import main
    from roomcheck.measure import Sweep, add_recording

    demo = Path(roomcheck.__file__).parent / "demo" / "story-room"
    top = place / "ground"
    folder = top / "room"
    if (place / "laid out").exists():
        return top
    shutil.rmtree(top, ignore_errors=True)
    shutil.copytree(demo, folder)
    job = roomcheck.load_job(folder)
    sweep = Sweep(low_hz=60, high_hz=16_000, seconds=0.5, rate_hz=RATE_HZ)
    heard = _heard(sweep.samples)
    for name, kind in SOUNDS.items():
        soundfile.write(top / name, heard, RATE_HZ, **kind)
    facts = f"[sweep]\nlow_hz = 60.0\nhigh_hz = 16000.0\nseconds = 0.5\nrate_hz = {RATE_HZ}\n"
    (top / "sweep.toml").write_text(facts, "utf-8")
    (top / "mic.txt").write_text(
        "* made up\n20 -1.5\n100 0.1\n1000 0\n10000 1.5\n20000 -2\n", "utf-8"
    )
    place_of = {"visit": "before", "source": "S1", "microphone": "P1"}
    add_recording(job, top / "rec.wav", **place_of, sweep=sweep, keep_anyway=True)
    (folder / "results").mkdir(exist_ok=True)
    quiet = partial(in_fork, wall_s=300)
    quiet(lambda: main(["analyse", str(folder)]))
    for height in ("8 ft", "9 ft"):
        quiet(partial(main, ["set", str(folder), "room.height", height]))
    quiet(lambda: main(["undo", str(folder)]))
    order = ["--change", "one more", "--cost", "10", "--sign", "C", "--date", "2026-06-01"]
    quiet(lambda: main(["quote", str(folder), *order]))
    shutil.rmtree(folder / "documents", ignore_errors=True)
    still = 1e-3 * np.random.default_rng(5).standard_normal(16 * RATE_HZ)
    soundfile.write(top / "still.wav", still, RATE_HZ)
    noise = ["add", str(folder), str(top / "still.wav"), "--visit", "before", "--noise", "off"]
    quiet(lambda: main(noise))
    pack = ["pack", str(folder), "--without-recordings", "--out", str(top / "room.zip")]
    quiet(lambda: main(pack))
    (folder / ".roomcheck-lock").unlink(missing_ok=True)  # it is written in place
    (place / "laid out").touch()
    return top


def _heard(sweep: Any) -> Any:
    from scipy.signal import fftconvolve

    rng = np.random.default_rng(4)
    room = np.exp(-np.arange(9600) / 1500) * rng.standard_normal(9600)
    room[0] = 6.0
    y = fftconvolve(np.pad(sweep, (RATE_HZ // 4, RATE_HZ // 2)), room)
    return 0.5 * y / np.abs(y).max() + 1e-5 * rng.standard_normal(len(y))


# --- mutations


def mutated(data: bytes, rng: random.Random) -> bytes:
    """Bytes cut, flipped, doubled, exchanged or joined."""
    data = bytearray(data)
    for _ in range(rng.choice((1, 1, 1, 2, 5, 20))):
        at = rng.randrange(len(data) + 1)
        match rng.randrange(7):
            case 0:
                del data[at:]
            case 1:
                del data[at : at + rng.choice((1, 2, 10, 100))]
            case 2:
                data[at:at] = bytes(rng.randrange(256) for _ in range(rng.choice((1, 4, 16))))
            case 3 if data:
                data[at % len(data)] ^= 1 << rng.randrange(8)
            case 4:
                data[at:at] = data[max(at - 100, 0) : at]
            case 5:
                data[at : at + 4] = rng.choice(
                    (b"\0\0\0\0", b"\xff\xff\xff\xff", b"\x7f\xff\xff\xff")
                )
            case _:
                data[at:at] = rng.choice(
                    (b"\n", b'"', b"[", b"]", b"=", b"#", b"\x1b", b"\xff\xfe", b"\xe2\x80\xae")
                )
    return bytes(data)


def mutated_toml(text: str, rng: random.Random) -> bytes:
    """A file with some of its values, keys or lines exchanged; now and then its bytes."""
    if rng.random() < 0.2:
        return mutated(text.encode(), rng)
    lines = text.split("\n")
    pairs = [i for i, line in enumerate(lines) if " = " in line and not line.startswith("#")]
    for _ in range(rng.choice((1, 1, 1, 2, 4))):
        if not pairs:
            break
        at = rng.choice(pairs)
        key, _, value = lines[at].partition(" = ")
        match rng.randrange(6):
            case 0 | 1 | 2:
                lines[at] = f"{key} = {_as_toml(_other_value(value, rng))}"
            case 3:
                lines[at] = rng.choice(("", f"{key}x = {value}", f"{value} = {key}", lines[at] * 2))
            case 4:
                other = rng.choice(pairs)
                lines[at], lines[other] = lines[other], lines[at]
            case _:
                lines.insert(
                    at,
                    rng.choice(("[[x]]", "[room]", lines[rng.choice(pairs)], "[[patch]]", "x = 1")),
                )
    return "\n".join(lines).encode("utf-8", "surrogatepass")


def _other_value(value: str, rng: random.Random) -> Any:
    if rng.random() < 0.5:
        return length_text(rng)
    junk = rng.choice(JUNK)
    if rng.random() < 0.2 and value.startswith('"'):
        return value.strip('"') + str(junk)
    return junk


def _as_toml(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, dict):
        return "{" + ", ".join(f"{k} = {_as_toml(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_as_toml, value)) + "]"
    return str(value)


def length_text(rng: random.Random) -> str:
    """Something like a length."""
    return "".join(rng.choice(LENGTH_PARTS) for _ in range(rng.randrange(1, 7)))


# --- the sorts


def _length_case(rng: random.Random) -> str | None:
    """A text read by both readers in this process: where both have a value, it is the same."""
    from roomcheck.typed import LengthError, parse_length

    text = length_text(rng)
    try:
        read_m = parse_length(text)
    except LengthError:
        return None
    second_m = second_reader.length_m(text)
    if second_m is None or abs(read_m - second_m) > 1e-9 * max(1.0, abs(second_m)):
        return f"{text!r} is read as {read_m!r} m, a second reader says {second_m!r}"
    return None


def command(*words: str) -> Call:
    def call() -> int:
        from roomcheck.cli import main

        return main(list(words))

    return call


def _rewritten(path: Path, rng: random.Random) -> None:
    rewrite(path, mutated_toml(path.read_text("utf-8"), rng))


def _job_file(room: Path, rng: random.Random) -> tuple[Call, str]:
    _rewritten(room / "job.toml", rng)
    return partial(_checked, room), "check"


def _checked(room: Path) -> int:
    """`check`, and where the file is taken, its values held against a second reader."""
    from roomcheck.cli import main

    code = main(["check", str(room)])
    if code == 0:
        misread = list(_misread(room))
        if misread:
            print("\n".join(misread))
            return 1
    return code


def _misread(room: Path) -> Iterator[str]:
    """Values of a job that a second reader reads otherwise."""
    import roomcheck

    job = roomcheck.load_job(room)
    plain = tomllib.loads((room / "job.toml").read_text("utf-8-sig"))
    held = [("room.height", plain["room"].get("height"), job.room.height_m, second_reader.length_m)]
    for kind, things in (("patch", job.patches), ("keep_clear", job.keep_clear)):
        for table, one in zip(plain.get(kind, []), things, strict=True):
            place = one.place
            sizes = {
                "left": place.u_m,
                "bottom": place.v_m,
                "width": place.width_m,
                "height": place.height_m,
            }
            held += [
                (f"{kind}.{key}", table.get(key), size, second_reader.length_m)
                for key, size in sizes.items()
            ]
            if "clearance" in table:
                held.append(
                    (
                        f"{kind}.clearance",
                        table["clearance"],
                        one.clearance_m,
                        second_reader.length_m,
                    )
                )
    for kind, spots in (("source", job.sources), ("microphone", job.microphones)):
        for table, spot in zip(plain.get(kind, []), spots, strict=True):
            values = zip("xyz", spot.point, strict=True)
            held += [
                (f"{kind}.{axis}", table.get(axis), value, second_reader.length_m)
                for axis, value in values
            ]
    for table, visit in zip(plain.get("visit", []), job.visits, strict=True):
        held.append(
            (
                "visit.temperature",
                table.get("temperature"),
                visit.temperature_c,
                second_reader.celsius,
            )
        )
        held.append(
            ("visit.humidity", table.get("humidity"), visit.humidity_pct, second_reader.percent)
        )
    if "budget" in plain:
        held.append(("budget", plain["budget"], float(job.budget or 0), second_reader.money))
    for name, text, value, read in held:
        second = read(text)
        if second is None or abs(second - value) > 1e-6 * max(1.0, abs(second)):
            yield f"{name}: {text!r} is read as {value!r}, a second reader says {second!r}"


def _shop_file(room: Path, rng: random.Random) -> tuple[Call, str]:
    _rewritten(room / "shop.toml", rng)
    if rng.random() < 0.5:
        return command("check", str(room)), "check"
    return command("list", "stock", "--job", str(room)), "list stock"


def _take_facts(room: Path, rng: random.Random) -> tuple[Call, str]:
    _rewritten(room / "takes" / "before" / "S1-P1.toml", rng)
    return partial(measured_again, room), "measure"


def measured_again(room: Path) -> int:
    import roomcheck
    from roomcheck.errors import RoomcheckError
    from roomcheck.measure import visited

    try:
        visited(roomcheck.load_job(room), "before")
    except RoomcheckError as problem:
        print(problem)
        return 2
    return 0


ADD = ("--visit", "before", "--source", "S1", "--microphone", "P2")


def _sweep_facts(room: Path, rng: random.Random) -> tuple[Call, str]:
    sweep = room.parent / "sweep.toml"
    _rewritten(sweep, rng)
    return command(
        "add", str(room), str(room.parent / "rec.wav"), *ADD, "--sweep", str(sweep)
    ), "add"


SOUNDS: dict[str, dict[str, str]] = {
    "rec.wav": {"subtype": "PCM_16"},
    "rec.flac": {},
    "rec.aiff": {},
    "rec.ogg": {},
    "rec.mp3": {},
    "rec.w64": {},
    "float.wav": {"subtype": "FLOAT"},
}


def _recording(room: Path, rng: random.Random) -> tuple[Call, str]:
    name = rng.choice(list(SOUNDS))
    path = room.parent / name
    data = path.read_bytes()
    head = rng.random() < 0.5
    rewrite(path, mutated(data[:200], rng) + data[200:] if head else mutated(data, rng))
    sweep = ("--sweep", str(room.parent / "sweep.toml")) if rng.random() < 0.7 else ("--impulse",)
    return command("add", str(room), str(path), *ADD, *sweep), f"add {name} {sweep[0]}"


def _agreement(room: Path, rng: random.Random) -> tuple[Call, str]:
    _rewritten(room / "signed" / "agreement.toml", rng)
    return command("quote", str(room), "--json"), "quote"


def _change_order(room: Path, rng: random.Random) -> tuple[Call, str]:
    _rewritten(room / "signed" / "change-1.toml", rng)
    return partial(_changes_read, room), "changes"


def _changes_read(room: Path) -> int:
    from roomcheck.errors import RoomcheckError
    from roomcheck.quote import read_change_orders

    try:
        read_change_orders(room)
    except RoomcheckError as problem:
        print(problem)
        return 2
    return 0


def _kept(room: Path, rng: random.Random) -> tuple[Call, str]:
    files = sorted((room / "results").glob("*.json"))
    for path in files:
        rewrite(path, mutated(path.read_bytes(), rng))
    return partial(_kept_read, room), "kept findings"


def _kept_read(room: Path) -> int:
    import roomcheck

    roomcheck.open_job(room).kept_findings("before")
    return 0


def _microphone(room: Path, rng: random.Random) -> tuple[Call, str]:
    path = room.parent / "mic.txt"
    rewrite(path, mutated(path.read_bytes(), rng))
    return partial(_microphone_read, path), "microphone file"


def _microphone_read(path: Path) -> int:
    from roomcheck.errors import RoomcheckError
    from roomcheck.measure import read_correction

    try:
        read_correction(path)
    except RoomcheckError as problem:
        print(problem)
        return 2
    return 0


def _logo(room: Path, rng: random.Random) -> tuple[Call, str]:
    path = room / "mark.svg"
    data = mutated(path.read_bytes(), rng)
    other = rng.choice((b"<path", b"<use", b"<image href='x'", b"<path onload='x'"))
    rewrite(path, data.replace(b"<path", other, 1))
    return partial(_logo_set, room), "a page with the logo"


def _logo_set(room: Path) -> int:
    """Where the job takes the logo, the typesetter takes it too."""
    import typst

    import roomcheck
    from roomcheck.errors import RoomcheckError
    from roomcheck.job import logo_data

    try:
        logo = roomcheck.load_job(room).shop.logo
    except RoomcheckError as problem:
        print(problem)
        return 2
    if logo is not None:
        page = b'#image(bytes(sys.inputs.logo), format: "svg")'
        typst.compile(page, sys_inputs={"logo": logo_data(logo).decode("utf-8")})
    return 0


def _history(room: Path, rng: random.Random) -> tuple[Call, str]:
    paths = sorted(path for path in (room / "history").iterdir() if path.is_file())
    path = rng.choice(paths)
    rewrite(path, mutated(path.read_bytes(), rng))
    return command(
        "undo", str(room), *(["--redo"] if rng.random() < 0.3 else [])
    ), f"undo with {path.name}"


def _packed(room: Path, rng: random.Random) -> tuple[Call, str]:
    """A pack with some of its bytes changed; or, of one that is whole again, some of its list of
    files."""
    path = room.parent / "room.zip"
    if rng.random() < 0.5:
        rewrite(path, mutated(path.read_bytes(), rng))
    else:
        rewrite(path, _relisted(path, rng))
    return command("unpack", str(path), str(room.parent / "again")), "unpack"


def _relisted(path: Path, rng: random.Random) -> bytes:
    """A pack whose list of files, or one of them, is another."""
    made = io.BytesIO()
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        names = old.namelist()
        changed = rng.choice([*names, "roomcheck-pack.json", "roomcheck-pack.json"])
        for name in names:
            data = old.read(name)
            others = (f"../{name}", f"/{name}", f"room/{name}", name * 2)
            to = rng.choice(others) if rng.random() < 0.02 else name
            new.writestr(to, mutated(data, rng) if name == changed else data)
    return made.getvalue()


def _background(room: Path, rng: random.Random) -> tuple[Call, str]:
    (path,) = (room / "takes" / "before" / "noise").glob("*.toml")
    _rewritten(path, rng)
    return partial(_background_read, room), "background noise"


def _background_read(room: Path) -> int:
    import roomcheck
    from roomcheck.errors import RoomcheckError
    from roomcheck.measure import noise_takes

    try:
        noise_takes(roomcheck.load_job(room), "before")
    except RoomcheckError as problem:
        print(problem)
        return 2
    return 0


COMMANDS: tuple[tuple[str, ...], ...] = (
    ("check", "ROOM"),
    ("check", "ROOM", "--for", "measure"),
    ("new", "NEW", "--use", "meeting room", "--length", "5 m", "--width", "4 m", "--height", "2.6 m"),
    ("new", "NEW", "--use", "cafe", "--length", "13'4", "--width", "12 ft", "--height", "9'", "--client", "C", "--walls", "brick"),
    ("set", "ROOM", "room.height", "8' 1\""),
    ("set", "ROOM", "budget", "2400"),
    ("set", "ROOM", "patch.1.left", "2 ft"),
    ("undo", "ROOM"),
    ("list", "materials", "--search", "wool"),
    ("list", "stock", "--job", "ROOM"),
    ("recommend", "EMPTY", "--move", "A1", "north", "1 ft", "30 in"),
    ("recommend", "EMPTY", "--pin", "A1", "--plan", "2"),
    ("quote", "ROOM"),
    ("quote", "ROOM", "--invoice", "1", "--paid", "10", "--json"),
    ("quote", "ROOM", "--change", "x", "--cost", "1", "--sign", "C", "--date", "2026-05-11"),
    ("build", "--piece", "2 in panel 24 in x 48 in", "--json"),
    ("build", "ROOM", "--stick", "1.5 in", "--plan", "9"),
    ("predict", "EMPTY", "9"),
    ("verify", "EMPTY"),
    ("report", "EMPTY", "--plan", "9"),
    ("add", "ROOM", "REC", "--visit", "before", "--source", "S1", "--microphone", "P2"),
    ("add", "ROOM", "REC", "--visit", "after", "--noise", "off", "--channel", "1", "--sensitivity", "-30"),
    ("sweep", "OUT", "--seconds", "1", "--low", "100", "--high", "8000", "--rate", "48000"),
)  # fmt: skip
"""Words of commands that need no long computing; EMPTY is a job without recordings."""


def _words(room: Path, rng: random.Random) -> tuple[Call, str]:
    words = list(rng.choice(COMMANDS))
    for _ in range(rng.choice((0, 1, 1, 2, 3))):
        at = rng.randrange(1, len(words))
        junk = rng.choice((str(rng.choice(JUNK)), length_text(rng), str(rng.choice(JUNK))))
        match rng.randrange(4):
            case 0:
                words[at] = junk
            case 1:
                words.insert(at, junk)
            case 2 if len(words) > 2:
                del words[at]
            case _:
                words[at] = mutated(words[at].encode("utf-8", "surrogateescape"), rng).decode(
                    "utf-8", "surrogateescape"
                )
    names = {"ROOM": room, "NEW": room.parent / "new", "EMPTY": room.parent / "empty", "REC": room.parent / "rec.wav", "OUT": room.parent / "out.wav"}  # fmt: skip
    (room.parent / "empty").mkdir()
    shutil.copy(room / "job.toml", room.parent / "empty" / "job.toml")
    spelt = [str(names.get(word, word)) for word in words]
    return partial(_at_home, room.parent, spelt), f"roomcheck {' '.join(map(ascii, words))}"


def _at_home(folder: Path, words: list[str]) -> int:
    """A command whose relative names stay inside of the work folder."""
    from roomcheck.cli import main

    os.chdir(folder)
    return main([word.replace("\0", "0") for word in words])


_SORTS: dict[str, Callable[[Path, random.Random], tuple[Call, str]]] = {
    "job.toml": _job_file,
    "shop.toml": _shop_file,
    "facts of a take": _take_facts,
    "facts of a sweep": _sweep_facts,
    "recordings": _recording,
    "signed agreement": _agreement,
    "change order": _change_order,
    "kept results": _kept,
    "microphone file": _microphone,
    "logo": _logo,
    "history": _history,
    "packed job": _packed,
    "facts of a background": _background,
    "commands": _words,
}
