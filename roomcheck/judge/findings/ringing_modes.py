"""One bass note that rings: a standing wave that outlasts what is around it."""

from __future__ import annotations

from roomcheck.analyse import Analysis, BoxMode, RoomMode
from roomcheck.job import Job
from roomcheck.judge.findings.length import JND_DECAY
from roomcheck.judge.kinds import FindingKind
from roomcheck.judge.limits.decide import COVERAGE
from roomcheck.judge.limits.lowest import lowest_heard_hz
from roomcheck.judge.results import Finding
from roomcheck.units import digits_against_limit, rounded_up

LONG_S, LONG_RATIO, RIDGE_DB, JND_DB = 0.4, 1.5, 10.0, 1.0
"""A mode rings where it decays more slowly than 0.4 s and than 1.5 times the middle of the room's
range, and stands 10 dB over what is beside it after 150 ms (common practice). [s], [1], [dB]"""

TUNED_BELOW_HZ = 60.0
"""Below it only tuned pieces are worth their depth (common practice). [Hz]"""


def ringing(analysis: Analysis, job: Job) -> Finding | None:
    """Modes that ring past the rest, the one first that stands out most against its neighbours."""
    limit_s = max(LONG_S, LONG_RATIO * (analysis.mid_s or 0.0))
    if analysis.modes is None:
        return None
    found = sorted(
        (
            m
            for m in analysis.modes.found
            if m.frequency_hz >= lowest_heard_hz(job.use) and _rings(m, limit_s)
        ),
        key=lambda m: -(m.late_db or 0.0),
    )
    if not found:
        return None
    worst = found[0]
    said, bound = digits_against_limit(worst.decay_s, limit_s)
    where = (
        f", {_box_name(worst.box)}"
        if worst.box
        else ", between surfaces that the room's size does not tell"
    )
    beside = analysis.modes.neighbours_s(worst)
    u_s = rounded_up(COVERAGE * worst.decay_u_s, 2)
    others = "".join(f"; so does {m.frequency_hz:.0f} Hz, {m.decay_s:.2f} s" for m in found[1:3])
    return Finding(
        kind=FindingKind.RINGING_MODE,
        title=f"A bass note rings at {worst.frequency_hz:.0f} Hz",
        sentence=f"One bass note, near {worst.frequency_hz:.0f} Hz, rings on when the rest has stopped.",
        evidence=f"{worst.frequency_hz:.1f} Hz{where}: decays in {said} s ± {u_s} s, its neighbours in {beside:.2f} s; "
        f"{worst.late_db:.0f} dB over what is beside it after 150 ms{others}.",
        threshold=f"Longer than {bound} s and {RIDGE_DB:.0f} dB over its neighbours after 150 ms: common practice.",
        remedies=_remedies(worst),
        beyond_jnd=min((worst.late_db or 0.0) - RIDGE_DB, (worst.decay_s / limit_s - 1) / JND_DECAY)
        / JND_DB,
        sure=_sure(worst, analysis.modes.positions),
        figure="modes",
    )


def _rings(mode: RoomMode, limit_s: float) -> bool:
    clear = mode.late_db is not None and mode.late_db > RIDGE_DB
    return clear and mode.decay_s - COVERAGE * mode.decay_u_s > limit_s


def _remedies(mode: RoomMode) -> tuple[str, ...]:
    along = mode.box.axes if mode.box else ()
    floor = [axis for axis in along if axis != "height"]
    where = f" along the {' and the '.join(floor)}" if floor else ""
    found = [
        f"Free: move the seat or the loudspeaker{where}, a foot at a time, and listen to that "
        "note; out of the corners first.",
        "A loudspeaker for the bass at a second place can play against it.",
    ]
    if mode.frequency_hz >= TUNED_BELOW_HZ:
        ends = {"length": "the end walls", "width": "the side walls", "height": "floor or ceiling"}
        at = " or ".join(ends[axis] for axis in along) or "the corners"
        found.append(
            f"Deep absorbers (4 in and more, air behind) at {at} and in the corners that end there."
        )
    else:
        found.append(
            "Below about 60 Hz only pieces tuned to the note are worth their depth; thick wool "
            "is not."
        )
    found.append("More thin panels do nothing at this note.")
    return tuple(found)


def _sure(mode: RoomMode, positions: int) -> str:
    again = "A later fit finds it again" if mode.checked else "Too weak for a second look"
    several = (
        f" in {positions} responses"
        if positions > 1
        else "; one response only, measure at more places"
    )
    named = (
        f"; {mode.others[0].frequency_hz:.1f} Hz {_box_name(mode.others[0])} would fit as well"
        if mode.others
        else ""
    )
    return f"{again}{several}{named}."


def _box_name(box: BoxMode) -> str:
    return f"{box.kind}, {' and '.join(box.axes)} ({' '.join(map(str, box.order))})"
