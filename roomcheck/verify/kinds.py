"""The closed lists that a verification is made of."""

from __future__ import annotations

from roomcheck.facts import Kind


class Kept(Kind):
    """Whether a promised value, or the promise as a whole, is kept."""

    KEPT = "kept"
    NOT_KEPT = "not kept"
    UNDECIDED = "undecided"
    NOT_PROMISED = "not promised"


class ChangeNote(Kind):
    """What goes with the change of a value, or why nothing can be said of it."""

    NOT_COMPARABLE = "visits not comparable"
    NOTHING_AFTER = "nothing measured after"
    ONE_PAIR = "one pair"
    TOO_CLOSE = "too close to a limit"
    NO_DECAY = "no decay measured"
    FEWER_PAIRS = "change over fewer pairs"
    OTHER_AIR = "other air"
    OTHER_PEOPLE = "other people"
    OTHER_PEOPLE_UNKNOWN = "absorption of people unknown"


class Difference(Kind):
    """A condition that was not the same at both visits."""

    FEWER_THAN_PROMISED = "fewer pairs than promised"
    ONLY_BEFORE = "measured before only"
    ONLY_AFTER = "measured after only"
    NO_COMMON_PAIR = "no common pair"
    MOVED = "position moved"
    CONDITIONS_UNKNOWN = "conditions unknown"
    TEMPERATURE = "temperature"
    HUMIDITY = "humidity"
    VENTILATION = "ventilation"
    GAIN = "gain"
    EQUIPMENT = "equipment"
    SIGNAL = "test signal"
    SETTINGS = "settings"
    PEOPLE = "people"
    DOORS = "doors"
    FURNISHING = "furnishing"


class Cause(Kind):
    """What is most likely wrong where a promise is not kept."""

    MORE_ABSORPTION = "more absorption than planned"
    AS_PREDICTED = "as predicted"
    AS_BEFORE = "as before the work"
    PIECES_MISSING = "pieces missing"
    GAP_MISSING = "gap missing"
    WEAK_PIECES = "weak pieces"
    UNEXPLAINED = "unexplained"


class Appeared(Kind):
    """How a fault came to be found after the work alone."""

    NEW = "new"
    """The first visit could have found it, and did not."""
    UNSEEN = "unseen"
    """The first visit could not judge the octaves that show it."""
