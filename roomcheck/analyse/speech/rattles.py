"""What rattles in the room: buzzes that several takes have in common, or that beat with the sweep
in one."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import median

from roomcheck.analyse.speech.results import Rattle
from roomcheck.measure import Buzz, Measurement

ALIKE_OCTAVES = 1 / 10
IN_STEP = 2.5
"""A buzz that only one take has must beat so much more with the sweep than between its periods.
[1]"""


def common_rattles(measurements: Sequence[Measurement]) -> tuple[Rattle, ...]:
    """The rattles of a visit, the loudest first.

    A knock or a voice in a single take is none: it does not come back with the sweep. Takes whose
    check says "repeat" are asked as well, since a rattle may be the reason.
    """
    heard = [(m, buzz) for m in measurements for buzz in m.check.buzzes or ()]
    asked = sum(m.check.buzzes is not None for m in measurements)
    found = []
    while heard:
        first = max(heard, key=lambda pair: pair[1].over_db)
        group = [pair for pair in heard if _alike(pair[1], first[1])]
        heard = [pair for pair in heard if pair not in group]
        takes = tuple(dict.fromkeys(m.take for m, _ in group))
        if len(takes) < 2 and first[1].in_step < IN_STEP:
            continue
        found.append(
            Rattle(
                frequency_hz=median(buzz.frequency_hz for _, buzz in group),
                over_db=max(buzz.over_db for _, buzz in group),
                under_db=max(buzz.under_db for _, buzz in group),
                takes=takes,
                of=asked,
            )
        )
    return tuple(found)


def _alike(one: Buzz, other: Buzz) -> bool:
    return abs(math.log2(one.frequency_hz / other.frequency_hz)) <= ALIKE_OCTAVES
