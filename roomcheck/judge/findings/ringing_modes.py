"""One bass note that rings: a standing wave that outlasts what is around it."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.analyse import Analysis, Modes, RoomMode
from roomcheck.facts import Fact, fact
from roomcheck.job import Job
from roomcheck.judge.kinds import Certainty, FindingKind, LimitSource, Remedy
from roomcheck.judge.limits.audible import JND_DB, JND_DECAY, lowest_heard_hz
from roomcheck.judge.limits.decide import COVERAGE
from roomcheck.judge.results import Finding

LONG_S, LONG_RATIO, RIDGE_DB = 0.4, 1.5, 10.0
"""A mode rings where it decays more slowly than 0.4 s and than 1.5 times the middle of the room's
range, and stands 10 dB over what is beside it after 150 ms (common practice). [s], [1], [dB]"""

TUNED_BELOW_HZ = 60.0
"""Below it only tuned pieces are worth their depth (common practice). [Hz]"""

MOST_OTHERS = 2
"""Further ringing notes that a finding names."""


def ringing(analysis: Analysis, job: Job) -> Finding | None:
    """Find modes that ring past the rest, the one first that stands out most against its
    neighbours."""
    modes = analysis.modes
    if modes is None:
        return None
    limit_s = max(LONG_S, LONG_RATIO * (analysis.mid_s or 0.0))
    lowest_hz = lowest_heard_hz(job.use)
    ring = [m for m in modes.found if m.frequency_hz >= lowest_hz and _rings(m, limit_s)]
    ring.sort(key=_late_db, reverse=True)
    return _finding(ring, modes, limit_s) if ring else None


def _finding(ring: Sequence[RoomMode], modes: Modes, limit_s: float) -> Finding:
    worst, others = ring[0], ring[1 : 1 + MOST_OTHERS]
    over_ridge = (_late_db(worst) - RIDGE_DB) / JND_DB
    over_limit = (worst.decay_s / limit_s - 1) / JND_DECAY
    return Finding(
        measured=fact(
            FindingKind.RINGING_MODE,
            frequency_hz=worst.frequency_hz,
            order=_order(worst),
            decay_s=worst.decay_s,
            decay_u_s=worst.decay_u_s,
            limit_s=limit_s,
            beside_s=modes.neighbours_s(worst),
            late_db=worst.late_db,
            limit_db=RIDGE_DB,
            others=tuple((mode.frequency_hz, mode.decay_s) for mode in others),
        ),
        source=fact(LimitSource.COMMON_PRACTICE),
        remedies=_remedies(_order(worst), worst.frequency_hz),
        beyond_jnd=min(over_ridge, over_limit),
        sure=(
            fact(
                Certainty.MODE_FIT,
                positions=modes.positions,
                fits_as_well=worst.others[0].order if worst.others else None,
            ),
        ),
    )


def _late_db(mode: RoomMode) -> float:
    return mode.late_db or 0.0


def _rings(mode: RoomMode, limit_s: float) -> bool:
    clear = mode.late_db is not None and mode.late_db > RIDGE_DB
    return clear and mode.decay_s - COVERAGE * mode.decay_u_s > limit_s


def _order(mode: RoomMode) -> tuple[int, int, int] | None:
    """Half waves along length, width and height of the standing wave that the room's size predicts
    there; None where none is."""
    return mode.box.order if mode.box else None


def _remedies(order: tuple[int, int, int] | None, frequency_hz: float) -> tuple[Fact[Remedy], ...]:
    deep = fact(Remedy.DEEP_AT_ENDS, order=order)
    return (
        fact(Remedy.MOVE_ALONG, order=order),
        fact(Remedy.SECOND_BASS_SOURCE),
        deep if frequency_hz >= TUNED_BELOW_HZ else fact(Remedy.ONLY_TUNED),
        fact(Remedy.THIN_DO_NOTHING),
    )
