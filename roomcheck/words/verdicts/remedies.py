"""What helps against a finding, and how sure the finding is, in words."""

from __future__ import annotations

from roomcheck.facts import Fact
from roomcheck.judge import Certainty, Remedy
from roomcheck.words.numbers import area, length
from roomcheck.words.places import place_text, tape
from roomcheck.words.reader import Reader
from roomcheck.words.saying import Saying, in_words, joined, register
from roomcheck.words.verdicts.phrases import axes_of
from roomcheck.words.visit.analysis import order_name

Order = tuple[int, int, int]


def free_move(remedy: Fact[Remedy], reader: Reader) -> str:
    """A remedy that costs nothing, for where that is said already: it begins with what is done.

    >>> from roomcheck.facts import fact
    >>> free_move(fact(Remedy.BOOKCASE), Reader("client"))
    'move the seat off that surface, or put the bookcase there.'
    """
    return in_words(_MOVES[remedy.kind], reader, dict(remedy.values))


def _add_absorption(reader: Reader, area_m2: float, aim_s: float, panels: int) -> str:
    size = "2 x 4 ft" if reader.units == "imperial" else "0.6 x 1.2 m"
    return (
        f"Add about {area(area_m2, reader)} of absorption to reach {aim_s:.2f} s, as {panels} "
        f"thick panels of {size} would, spread over at least two surfaces that are not opposite."
    )


def _move_along(reader: Reader, order: Order | None = None) -> str:
    axes = [axis for axis in axes_of(order or (0, 0, 0)) if axis != "height"]
    where = f" along the {joined(axes, 'and the')}" if axes else ""
    return (
        f"move the seat or the loudspeaker{where}, {_a_foot(reader)} at a time, and listen "
        "to that note; out of the corners first."
    )


def _deep_at_ends(reader: Reader, order: Order | None = None) -> str:
    ends = {"length": "the end walls", "width": "the side walls", "height": "floor or ceiling"}
    where = joined([ends[axis] for axis in axes_of(order or (0, 0, 0))], "or") or "the corners"
    return (
        f"Deep absorbers ({_inches(4, reader)} and more, air behind) at {where} and in the corners "
        "that end there."
    )


def _a_foot(reader: Reader) -> str:
    return "a foot" if reader.units == "imperial" else "30 cm"


def _inches(count: int, reader: Reader) -> str:
    return f"{count} in" if reader.units == "imperial" else f"{25 * count} mm"


def _out_of_range(reader: Reader, source: str, near_m: float, far_m: float) -> str:
    near, far = f"{100 * near_m:.0f} cm", f"{far_m:.1f} m"
    if reader.units == "imperial":
        near, far = "a foot", "3 1/2 feet"
    return f"move {source} nearer than {near} to that surface or farther than {far} from it."


def _move_seat(reader: Reader, wall: str, distance_m: float) -> str:
    return (
        f"move the seat {tape(distance_m, reader)} towards the {wall} wall: there the "
        "standing waves of this room do not cancel that note."
    )


_MOVES: dict[Remedy, Saying] = {
    Remedy.ADD_SOFT_THINGS: (
        "draw the curtains, bring back the rug, the soft chairs and the full shelves, "
        "and listen again."
    ),
    Remedy.TAKE_DOWN_SOFT_THINGS: (
        "take down some of the thin panels or curtains, roll up the rug, and listen again."
    ),
    Remedy.LEAVE_THE_CORNER: (
        "move the talker, the microphone or the loudspeaker out of the corner, off the "
        "walls and off the middle of the room, and listen again."
    ),
    Remedy.TAKE_DOWN_THIN: (
        "take down some of the thin panels, foam, carpet or curtains, and listen again."
    ),
    Remedy.SPREAD_OUT: (
        "spread what already hangs on one surface over two or three, and listen again."
    ),
    Remedy.MOVE_ALONG: _move_along,
    Remedy.MOVE_SEAT_TOWARDS: _move_seat,
    Remedy.MOVE_SEAT_AND_LISTEN: lambda reader: (
        f"move the seat {_a_foot(reader)} at a time, forward first and never to the "
        "middle of the room, and listen to that note."
    ),
    Remedy.MOVE_LOUDSPEAKER: "or move the loudspeaker instead.",
    Remedy.OUT_OF_RANGE_OF_FACE: _out_of_range,
    Remedy.CLEAR_THE_DESK: (
        "clear the desk, or raise and tilt the loudspeakers so that it lies out of their"
        " way; measure again."
    ),
    Remedy.MOVE_A_FOOT: lambda reader: (
        f"move the seat or the loudspeaker by {_a_foot(reader)} and see whether the "
        "arrival moves with it."
    ),
    Remedy.BLANKET_BEFORE_SUSPECT: (
        "hang a blanket before what you suspect, a cupboard, a screen, a beam, and measure again."
    ),
    Remedy.TURN_THE_THING: "move it, turn it, or open its doors.",
    Remedy.CLOSER_TOGETHER: (
        "bring seat and loudspeaker, or mouth and microphone, closer together: the "
        "direct sound grows."
    ),
    Remedy.TURN_LOUDSPEAKER: (
        "turn the loudspeaker away from that wall, or move it along the wall."
    ),
    Remedy.BOOKCASE: "move the seat off that surface, or put the bookcase there.",
    Remedy.CLAP_AND_SEARCH: (
        "clap at the seat, hang a blanket before what you suspect, one thing after "
        "another, and measure again."
    ),
    Remedy.BREAK_FLUTTER: (
        "put a filled bookcase or a soft sofa against one of the two, or set a picture "
        "or a door askew."
    ),
    Remedy.CENTRE_LINE: (
        "set both loudspeakers and the seat on the room's centre line, as far from the "
        "left wall as from the right."
    ),
    Remedy.TALKER_CLOSER: ("bring talker and listener, or mouth and microphone, closer together."),
    Remedy.FACE_THE_LISTENERS: (
        "bring talker and listener closer together, and turn the loudspeaker or the "
        "talker to the listeners."
    ),
    Remedy.SHUT_DOORS: ("shut the doors to rooms and cupboards next door, and measure again."),
    Remedy.SWITCH_OFF: (
        "switch ventilation, computers and lamps off one after another and listen which "
        "it is; shut the windows."
    ),
    Remedy.FIND_BUZZ_BY_HAND: (
        "play the note steadily, walk about and lay a hand on lamps, vents, doors, "
        "panes, picture frames and the loudspeaker's own grille until it stops; then fasten "
        "that."
    ),
}
"""What costs nothing, from what is done on."""


def _free(move: Saying) -> Saying:
    """The sentence of such a move where it stands among what costs something."""
    return lambda reader, **values: f"Free: {in_words(move, reader, values)}"


register({kind: _free(move) for kind, move in _MOVES.items()})

register(
    {
        Remedy.ADD_ABSORPTION: _add_absorption,
        Remedy.PANELS_ARE_NO_SOUNDPROOFING: (
            "Panels quieten a room inside; they do not keep sound from going through walls."
        ),
        Remedy.SCATTER_FACES: (
            "Give some absorbers a slatted or diffusing face, which keeps sound in the room."
        ),
        Remedy.ABSORB_LOW: lambda reader: (
            f"Absorb low: pieces {_inches(4, reader)} deep or more with air behind them, in "
            "corners first. Thin panels do not reach there."
        ),
        Remedy.NO_THIN_PANELS: (
            "More thin panels would make it worse: they shorten the middle and leave the bass."
        ),
        Remedy.DEEP_WITH_SLATS: (
            "Give absorbers a slatted or diffusing face; make what is added deep rather than wide."
        ),
        Remedy.PANELS_ON_BARE: lambda reader: (
            f"Panels of {_inches(2, reader)} on the bare surfaces bring the middle and the treble "
            "down to the rest."
        ),
        Remedy.REPLACE_THIN_BY_DEEP: (
            "Replace thin absorbers by deep ones with a slatted face: less treble taken, more bass."
        ),
        Remedy.STIFFEN_PANELLING: (
            "Panelling and thin boards over air take the low middle: stiffen them, or fill behind "
            "fewer."
        ),
        Remedy.SECOND_BASS_SOURCE: (
            "A loudspeaker for the bass at a second place can play against it."
        ),
        Remedy.DEEP_AT_ENDS: _deep_at_ends,
        Remedy.ONLY_TUNED: (
            "Below about 60 Hz only pieces tuned to the note are worth their depth; thick wool is "
            "not."
        ),
        Remedy.THIN_DO_NOTHING: "More thin panels do nothing at this note.",
        Remedy.NO_PANEL_FILLS: "No panel brings back a note that the place itself cancels.",
        Remedy.DEEP_BEHIND_SOURCE: lambda reader: (
            f"Deep absorption ({_inches(4, reader)} and more) on the surface behind it fills the "
            "hole in part."
        ),
        Remedy.NO_EQUALISER: "Do not fill it with an equaliser: the wall cancels what is added.",
        Remedy.FOAM_AT_EDGE: (
            "A lip of foam at the desk's edge, or a smaller desk. No wall panel helps here."
        ),
        Remedy.COVER_THE_THING: "Cover what sends it. A panel on the wall does not help here.",
        Remedy.RUG: lambda reader, place: (
            f"A thick rug on the {place_text(place, reader)}; it takes the treble, not the "
            "low middle."
        ),
        Remedy.ABSORBER_UNDER_CEILING: lambda reader, place: (
            f"An absorber under the {place_text(place, reader)}, {_inches(4, reader)} deep "
            f"or {_inches(2, reader)} with air above."
        ),
        Remedy.CURTAIN_BEFORE: (
            "A heavy curtain or a panel on wheels before the {opening}: nothing hangs on it."
        ),
        Remedy.ABSORBER_AT: lambda reader, place: (
            f"An absorber {_inches(4, reader)} deep with its middle at "
            f"{place_text(place, reader)}, {_a_foot(reader)} to both sides of it: heads move."
        ),
        Remedy.TWO_INCHES_TOO_THIN: lambda reader: (
            f"{_inches(2, reader)} on the wall does not reach down to the low middle."
        ),
        Remedy.DIFFUSER_BEHIND: lambda reader: (
            f"A diffuser on it where there are {'3 ft' if reader.units == 'imperial' else '0.9 m'} "
            f"or more to the nearest head; else an absorber {_inches(4, reader)} to "
            f"{_inches(6, reader)} deep."
        ),
        Remedy.COVER_WHEN_FOUND: (
            "Cover what sends it; until it is found no panel is worth its price."
        ),
        Remedy.RUG_OR_CEILING: (
            "A rug on the floor, or absorbers under the ceiling: one of the two is enough."
        ),
        Remedy.ONE_OF_TWO_WALLS: lambda reader, first, second: (
            f"Absorbers on {first} or on {second}, one is enough: gaps below "
            f"{'2 ft' if reader.units == 'imperial' else '0.6 m'}, at the height of heads."
        ),
        Remedy.DIFFUSER_ON_ONE: (
            "A diffuser on one of the two does as well and keeps the room alive."
        ),
        Remedy.SAME_ON_BOTH_SIDES: (
            "The same treatment on both sides; before a door or a window a panel on wheels or a "
            "curtain."
        ),
        Remedy.ABSORB_LATE: (
            "Absorb what arrives late: the ceiling beyond the talker, and the wall behind the "
            "listeners."
        ),
        Remedy.LEAVE_NEAR_TALKER_BARE: (
            "Leave the surfaces close to the talker bare where they send early sound to the "
            "listeners."
        ),
        Remedy.NOISE_FIRST: (
            "Where noise is what hides the words, that comes first, and it is not a panel job."
        ),
        Remedy.TREAT_BARE_PAIR: (
            "Treat the pair of surfaces that has nothing on it yet, often floor and ceiling: one "
            "of the two is enough."
        ),
        Remedy.VENTILATION_FIRM: (
            "Not a panel job: a heating and ventilation firm slows the fan, mends or lines the "
            "duct; noise through walls, doors and windows is a builder's work."
        ),
        Remedy.PANELS_QUIETEN_LITTLE: (
            "Panels take a little off noise that is in the room already, 3 dB where the absorption"
            " doubles."
        ),
        Remedy.OTHER_LOUDSPEAKER: (
            "Where the hand finds nothing, play the note through another loudspeaker: then it was "
            "the loudspeaker."
        ),
        Remedy.OTHER_TRADES: "Ducts, pipes and ballasts are for their own trades: not a panel job.",
    }
)


def _seen_in_pairs(reader: Reader, pairs: int, of: int, residual_s: float) -> str:
    return f"Seen in {pairs} of {of} pairs; the delay fits the plan to {1000 * residual_s:.2f} ms."


def _could_also_be(
    reader: Reader, microphone: str, also: tuple[tuple[tuple[str, ...], float], ...]
) -> str:
    others = "; or ".join(
        f"{' then '.join(faces)} ({1000 * residual_s:+.2f} ms)" for faces, residual_s in also
    )
    return f"At {microphone} it could also be {others}: too close together to tell apart there."


def _mode_fit(reader: Reader, positions: int, fits_as_well: Order | None = None) -> str:
    again = "Found again later in the response; one response only, measure at more places"
    if positions > 1:
        again = f"Found again in parts of the {positions} responses"
    also = f"; {order_name(fits_as_well, reader)} would fit as well" if fits_as_well else ""
    return f"{again}{also}."


def _no_move_near(reader: Reader, distance_m: float) -> str:
    return (
        "By the room's standing waves with rigid walls, no place up to "
        f"{length(distance_m, reader)} straight forward, back or aside is free of it; "
        "another place for the loudspeaker may be."
    )


register(
    {
        Certainty.SEEN_IN_PAIRS: _seen_in_pairs,
        Certainty.COULD_ALSO_BE: _could_also_be,
        Certainty.NOT_ON_THE_PLAN: (
            "No wall, floor or ceiling of the plan explains it to second order; look for what it "
            "is."
        ),
        Certainty.CAUSE_UNKNOWN: "Nothing on the plan explains it; look for what sends it.",
        Certainty.BEAT_FITS: "The beat fits the distance.",
        Certainty.BEAT_FITS_SEVERAL: (
            "The beat fits the distance of more than one pair: clap between each to tell them "
            "apart."
        ),
        Certainty.ONLY_THIS_SOURCE: "Likely: no other loudspeaker has it.",
        Certainty.ONE_SOURCE: lambda reader: (
            f"Possible: one loudspeaker only; move it {_a_foot(reader)} and measure again to be "
            "sure."
        ),
        Certainty.ONE_SEAT_TWO_SOURCES: (
            "One seat, two loudspeakers, the same microphone: what differs is the room or the "
            "loudspeakers; swap them to know."
        ),
        Certainty.CALIBRATED: "The level is absolute: a calibrated recording.",
        Certainty.SEVERAL_TAKES: "Found again in several takes.",
        Certainty.ONE_TAKE: "Heard in one take, in step with the sweep.",
        Certainty.MODE_FIT: _mode_fit,
        Certainty.MOVE_FORESEEN: (
            "Foreseen from the room's size with rigid walls; check it with one more take."
        ),
        Certainty.NO_MOVE_NEAR: _no_move_near,
        Certainty.NOT_EXPLAINED_BY_SIZE: (
            "The room's size alone does not explain the hole, so no move is foreseen."
        ),
        Certainty.NO_RECTANGLE: (
            "The plan is no rectangle: where the note comes back is not foreseen."
        ),
    }
)
