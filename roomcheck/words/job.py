"""What a job lacks for a stage, and what would make it better."""

from __future__ import annotations

from roomcheck.job import Hint, Missing, RoomSize
from roomcheck.words.numbers import length, volume
from roomcheck.words.places import tape
from roomcheck.words.reader import Reader
from roomcheck.words.saying import register


def _near_surface(reader: Reader, name: str, off_m: float, least_m: float) -> str:
    off, least = tape(off_m, reader), tape(least_m, reader)
    return f"{name} stands {off} off a surface; {least} or more where the room allows"


def _near_each_other(reader: Reader, names: tuple[str, str], apart_m: float, least_m: float) -> str:
    apart, least = tape(apart_m, reader), tape(least_m, reader)
    return f"{names[0]} and {names[1]} are {apart} apart; {least} or more where the room allows"


def _unknown_use(reader: Reader, use: str, near: tuple[str, ...]) -> str:
    meant = f"; did you mean {' or '.join(map(repr, near))}?" if near else ""
    return f"no target for the use {use!r}{meant or '; give a [target] of your own'}"


def _outside_scope(
    reader: Reader, document: str, volume_m3: float, low_m3: float, high_m3: float
) -> str:
    span = f"from {low_m3:g} to {high_m3:g} m³" if low_m3 else f"up to {high_m3:g} m³"
    return (
        f"no target: {document} gives a decay for rooms {span}, this one has {volume_m3:.4g} m³; "
        "choose another use, or give a target of your own with its reason"
    )


def _listed(items: tuple[str, ...]) -> str:
    return ", ".join(items)


def _room_is(
    reader: Reader,
    length_m: float,
    width_m: float,
    height_m: float,
    volume_m3: float,
    corners: int,
    use: str,
) -> str:
    sides = " × ".join(length(side_m, reader) for side_m in (length_m, width_m, height_m))
    plan = "" if corners == 4 else f", {corners} corners"
    return f"{sides}, {volume(volume_m3, reader)}{plan}, {use}"


def _odd_volume(reader: Reader, volume_m3: float, use: str, low_m3: float, high_m3: float) -> str:
    low, high = volume(low_m3, reader), volume(high_m3, reader)
    return (
        f"{volume(volume_m3, reader)} is odd for a {use}, which usually has {low} to {high}: are "
        "all three sizes in the unit that was meant?"
    )


def _odd_height(reader: Reader, height_m: float, use: str, low_m: float, high_m: float) -> str:
    low, high = tape(low_m, reader), tape(high_m, reader)
    return (
        f"a height of {length(height_m, reader)} is odd for a {use}, which usually has {low} to "
        f"{high}: is it in the unit that was meant?"
    )


def _higher_than_long(reader: Reader, height_m: float, length_m: float) -> str:
    high, long = length(height_m, reader), length(length_m, reader)
    return f"the room is higher than it is long ({high} and {long}): were two sizes swapped?"


register(
    {
        RoomSize.ROOM_IS: _room_is,
        RoomSize.ODD_VOLUME: _odd_volume,
        RoomSize.ODD_HEIGHT: _odd_height,
        RoomSize.LONG_AND_NARROW: (
            "the room is {times:.1f} times as long as wide, like a corridor: is that so?"
        ),
        RoomSize.HIGHER_THAN_LONG: _higher_than_long,
    }
)
register(
    {
        Missing.NO_SOURCE: "no source: add a [[source]], where the loudspeaker stands",
        Missing.NO_MICROPHONE: (
            "no microphone: add a [[microphone]] for every place to measure at"
        ),
        Missing.FEW_PAIRS: (
            "{pairs} pair of source and microphone; a survey needs {needed}: add a [[microphone]]"
        ),
        Missing.BELOW_GRADE: (
            "{pairs} pairs from {sources} sources; {grade} grade, which the job wants, needs "
            "{needed_pairs} from {needed_sources}: add positions"
        ),
        Missing.NO_CONDITIONS: (
            'no conditions: add a [[visit]] named "{visit}" with date, temperature and humidity'
        ),
        Missing.UNKNOWN_USE: _unknown_use,
        Missing.OUTSIDE_SCOPE: _outside_scope,
        Missing.NO_RECORDINGS: (
            "no recordings in takes/{visit}: roomcheck measure, or roomcheck add for each "
            'recording, with "--visit {visit}"'
        ),
        Missing.NOT_SIGNED: (
            "nothing is signed: roomcheck quote with --sign keeps plan, promise and price"
        ),
    }
)
register(
    {
        Hint.SURVEY_ONLY: (
            "{pairs} pairs are a survey; 2 sources x 3 microphones would make it engineering grade"
        ),
        Hint.NEAR_SURFACE: _near_surface,
        Hint.NEAR_EACH_OTHER: _near_each_other,
        Hint.NO_SEAT: "no `seat`: say which microphone stands where it matters most",
        Hint.PAIRS_ABSENT: lambda _, pairs: f"no recording yet at {_listed(pairs)}",
        Hint.NO_BUDGET: (
            "no `budget`: the plan that the budget buys cannot be told from the others"
        ),
        Hint.NO_OPENING: (
            "no door or window: add a [[patch]] with `opening = true`, or pieces may be planned "
            "over it"
        ),
        Hint.NOTHING_KEPT_CLEAR: (
            "nothing to keep clear: is there no outlet, switch, vent, sprinkler or detector?"
        ),
        Hint.NO_FRAMING: lambda _, faces: (
            f"no [[framing]] for {_listed(faces)}: screws there cannot be planned onto studs or "
            "joists"
        ),
        Hint.FRAMING_UNKNOWN: lambda _, faces: (
            f"what stands behind {_listed(faces)} is not known, so no screws are planned there: "
            "add `kind` to its [[framing]]"
        ),
        Hint.SHEATHING_UNKNOWN: lambda _, faces: (
            f"how thick the layer in front of the studs of {_listed(faces)} is, is not known, so "
            "there is no screw ratio: add `sheathing` to its [[framing]]"
        ),
        Hint.MATERIAL_UNKNOWN: lambda _, items: (
            f"shop.toml does not say what {_listed(items)} is; a piece that needs it can be "
            "neither cut nor weighed: add `material` to its [[price]]"
        ),
        Hint.PLANNING_VALUES: (
            "the shop's stock, prices and rates are planning values: put your own into shop.toml"
        ),
        Hint.PAIRS_CHOSEN: lambda _, pairs: (
            f"{len(pairs)} pairs are chosen for the second visit: {_listed(pairs)}"
        ),
        Hint.FEWER_THAN_SIGNED: (
            "{signed} pairs are signed for the second visit and {chosen} are chosen now: what was "
            "signed counts, so put `pairs_after` back or leave it out"
        ),
        Hint.NOT_MEASURED_AFTER: lambda _, pairs: (
            f"measured before and not after: {_listed(pairs)}"
        ),
        Hint.NOT_MEASURED_BEFORE: lambda _, pairs: (
            f"measured after and not before, so not compared: {_listed(pairs)}"
        ),
        Hint.NO_COMPLAINT: "no `complaint`: the client's own sentence heads the proposal",
        Hint.STRAYS: lambda _, files: (
            f"not counted, since roomcheck made none of these: {_listed(files)}; copies that an "
            "editor or a shared folder left may go once you have looked at them"
        ),
        Hint.UNREADABLE_TAKE: "left out, since it cannot be read: {file} ({why})",
        Hint.RECORDINGS_GONE: lambda _, files: (
            f"no recording lies beside {_listed(files)}: what was made from it before still "
            "stands; put the recording back, or delete its .toml"
        ),
        Hint.SAME_RECORDING: lambda _, files: (
            f"one recording stands for both visits: {_listed(files)}; one of each two was copied "
            "into the wrong folder, so take that visit's files back from where they came"
        ),
        Hint.CHANGED_BY_HAND: "{file} was changed by hand after it was signed",
        Hint.NO_CERTIFICATE: "no certificate yet: it comes with the second visit",
    }
)
