"""Which document speaks of a room of which use."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Callable
from functools import partial

from roomcheck.standards.errors import BadTarget, UnknownUse
from roomcheck.standards.target import Target
from roomcheck.standards.targets import (
    ansi_s12_60,
    bb93_2015,
    din_18041_2016,
    itu_r_bs_1116_3,
    trade,
)
from roomcheck.standards.targets.own import OwnLimits, own_target

_Maker = Callable[[str, str, float], Target]

_DIN = {f"A{n}": partial(din_18041_2016.room, group=f"A{n}") for n in range(1, 6)}
_BB93 = {space: partial(bb93_2015.room, space=space) for space in bb93_2015.SPACES}

_ROOMS: dict[str, tuple[str, _Maker]] = {
    "control room": ("Control or edit room, loudspeakers at a seat", itu_r_bs_1116_3.control_room),
    "critical listening room": ("Reference listening room", itu_r_bs_1116_3.listening_room),
    "voice booth": ("Voice booth, 3 to 10 m³", trade.room),
    "podcast room": ("Podcast or interview room", trade.room),
    "home cinema": ("Home cinema", trade.room),
    "meeting room": ("Small meeting room", trade.room),
    "large meeting room": ("Large meeting room", trade.room),
    "video call room": ("Room for video calls", trade.room),
    "cafe": ("Café or restaurant", trade.room),
    "amplified rehearsal room": ("Rehearsal room, amplified music, up to 100 m³", trade.room),
    "acoustic rehearsal room": ("Rehearsal room, acoustic instruments", trade.room),
    "classroom": ("Classroom, ANSI/ASA S12.60", ansi_s12_60.classroom),
    "primary classroom": ("Primary classroom, BB93", _BB93["primary"]),
    "secondary classroom": ("Secondary classroom, BB93", _BB93["secondary"]),
    "classroom for hearing impairment": (
        "Classroom for pupils with hearing impairment, BB93",
        _BB93["hearing"],
    ),
    "music classroom": ("Music classroom, BB93", _BB93["music"]),
    "music practice room": ("Small music practice or group room, BB93", _BB93["practice"]),
    "ensemble room": ("School ensemble room, BB93", _BB93["ensemble"]),
    "music room DIN A1": ("Music, DIN 18041 A1, 30 to 1000 m³", _DIN["A1"]),
    "lecture room DIN A2": ("Speech and lectures, DIN 18041 A2, 50 to 5000 m³", _DIN["A2"]),
    "classroom DIN A3": ("Teaching and communication, DIN 18041 A3, 30 to 5000 m³", _DIN["A3"]),
    "classroom DIN A4": (
        "Teaching for everybody, inclusive, DIN 18041 A4, 30 to 500 m³",
        _DIN["A4"],
    ),
    "sports hall DIN A5": ("Sport, DIN 18041 A5, from 200 m³", _DIN["A5"]),
}

USES: dict[str, str] = {key: line for key, (line, _) in _ROOMS.items()}
"""Every use of a room that has a target, with one line for people."""


def target_for(use: str, volume_m3: float, own: OwnLimits | None = None) -> Target:
    """The decay that a room of this use and size should have.

    Parameters
    ----------
    use : str
        A key of `USES`; capitals and accents do not matter.
    volume_m3 : float
        [m3]
    own : OwnLimits or None
        The job's own limits, which then take the standard's place.

    Returns
    -------
    Target

    Raises
    ------
    UnknownUse
        No document here speaks of it; names the nearest ones.
    OutsideScope
        The document has no value for a room of that size.
    BadTarget
        The job's own limits make no target.
    ValueError
        `volume_m3` is not above 0.

    >>> target_for("classroom", 180).mid_high_s
    0.6
    """
    if not volume_m3 > 0:
        raise ValueError(f"volume_m3 must be above 0, not {volume_m3}")
    key = _KEYS.get(_folded(use))
    if own is not None:
        return own_target(
            low_s=own.low_s,
            high_s=own.high_s,
            from_hz=own.from_hz,
            to_hz=own.to_hz,
            reason=own.reason,
            key=key or use,
            title=f"{USES[key] if key else use}, by the job's own target",
        )
    if key is None:
        near = difflib.get_close_matches(_folded(use), _KEYS, n=3, cutoff=0.5)
        raise UnknownUse(use=use, near=tuple(_KEYS[name] for name in near))
    line, make = _ROOMS[key]
    return make(key, line, volume_m3)


def _folded(text: str) -> str:
    bare = unicodedata.normalize("NFKD", text)
    return " ".join("".join(c for c in bare if not unicodedata.combining(c)).casefold().split())


_KEYS = {_folded(key): key for key in USES}

__all__ = ["USES", "BadTarget", "OwnLimits", "UnknownUse", "own_target", "target_for"]
