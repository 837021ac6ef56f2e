"""Proof: takes of another place are noticed, right ones are not doubted."""

from __future__ import annotations

from pathlib import Path

import open_data
import places
from roomcheck import load_impulse_response
from roomcheck.analyse.places.likeness import AS_BEFORE, LATE_S, SAME_SPOT, likeness, print_of

TITLE = "Which place was it: swapped places, the same spot, before as after"
SWAP_DRAWS, RIGHT_DRAWS, ROOMS, NOISES = 3, 16, 8, 200

HEAD = """Every take is said to be of its own place, which must not be doubted, and of every other place of the job, which
must be noticed; all places are typed 5 cm off into random directions. Counted are pairs whose first six reflections
differ by more than 0.2 ms; others (mirrored places; source and microphone exchanged) have the same delays and are called
indistinguishable. Asked of the measured room: at least 95 % noticed, at most 1 % of right ones doubted.

| room | wrong, noticed | the true pair named | right, doubted | indistinguishable |
|---|---:|---:|---:|---:|
"""


def write(figures: Path) -> str | None:
    """The table, or None without the measured room."""
    folder = open_data.folder()
    if folder is None:
        return None
    hard = places.counts(places.of_hard_room(folder, SWAP_DRAWS))
    right = places.counts(places.of_hard_room(folder, RIGHT_DRAWS, swaps=False))
    rows = [
        _row("hard room of 90 m3, 13 places by tape", hard),
        _row(f"the same, right ones alone, {RIGHT_DRAWS} draws of 5 cm", right),
        _row(f"{ROOMS} made-up boxes and L-shapes, 4 places", _made(0)),
        _row("the same with ten things that are no wall", _made(10)),
    ]
    doubted = list(places.without_geometry(NOISES))
    return (
        HEAD
        + "\n".join(rows)
        + f"\n\nNoise that dies away, which no geometry explains: {sum(doubted)} of {len(doubted)} "
        "takes doubted.\n\n" + _alike(folder)
    )


def _made(things: int) -> places.Counts:
    return places.counts(places.of_made_rooms(ROOMS, things, 200))


def _row(name: str, counts: places.Counts) -> str:
    return (
        f"| {name} | {_share(counts.noticed, counts.wrong)} | "
        f"{_share(counts.named, counts.wrong)} | {_share(counts.doubted, counts.right)} | "
        f"{counts.alike} |"
    )


def _share(part: int, whole: int) -> str:
    return f"{part} of {whole} = {part / whole:.1%}" if whole else "-"


def _alike(folder: Path) -> str:
    """What repeats, other places and a treatment make of the likeness of two responses."""
    captures = folder / "repeated-captures"
    repeats = [print_of(load_impulse_response(captures / f"channel1-ir{k}.flac")) for k in range(3)]
    hard = [
        print_of(load_impulse_response(path))
        for path in sorted((folder / "room-with-coordinates").glob("*.flac"))
    ]
    panels = sorted((folder / "variable-acoustics-panels").glob("000_*.flac"))
    before = [print_of(load_impulse_response(path)) for path in panels]
    after = [
        print_of(load_impulse_response(path.with_name(path.name.replace("000_", "050_"))))
        for path in panels
    ]
    same = [likeness(one, two) for k, one in enumerate(repeats) for two in repeats[:k]]
    other = [likeness(one, two) for k, one in enumerate(hard) for two in hard[:k]]
    treated = [likeness(one, two, LATE_S) for one, two in zip(before, after, strict=True)]
    return f"""Likeness of two responses, 200 to 1800 Hz, 1 is the same. *The same spot* is asked about above {SAME_SPOT:g}, *as before*
above {AS_BEFORE:g} (of the sound after {1000 * LATE_S:.0f} ms):

| what | pairs | least | most |
|---|---:|---:|---:|
| repeats at one place of a hall | {len(same)} | {min(same):.3f} | {max(same):.3f} |
| two places of the hard room | {len(other)} | {min(other):.3f} | {max(other):.3f} |
| one place before and after half the panels absorb, late sound | {len(treated)} | {min(treated):.3f} | {max(treated):.3f} |
"""
