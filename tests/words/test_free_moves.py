"""What costs nothing has its sentence twice: among what costs something, and on its own."""

import pytest

from roomcheck.facts import fact
from roomcheck.judge import FREE, Remedy
from roomcheck.words import Reader, free_move, sentence

VALUES = {
    Remedy.MOVE_ALONG: {"order": (1, 0, 0)},
    Remedy.OUT_OF_RANGE_OF_FACE: {"source": "S1", "near_m": 0.3, "far_m": 1.07},
    Remedy.MOVE_SEAT_TOWARDS: {"wall": "north", "distance_m": 0.4},
}


@pytest.mark.parametrize("kind", sorted(FREE))
@pytest.mark.parametrize("units", ["imperial", "metric"])
def test_a_free_move_says_that_it_is_free_only_where_that_is_not_said(kind, units) -> None:
    reader = Reader("client", units=units)
    remedy = fact(kind, **VALUES.get(kind, {}))
    alone = free_move(remedy, reader)
    assert alone[0].islower() and alone.endswith(".") and "Free" not in alone
    assert sentence(remedy, reader) == f"Free: {alone}"
