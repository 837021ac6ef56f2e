"""Plans in words: what each is, why a piece hangs there, what is missed, what is promised."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal

from roomcheck.facts import Fact, fact
from roomcheck.job import SURE_PCT, LayoutAct, WhyHere
from roomcheck.recommend import (
    Advice,
    Condition,
    LostValue,
    PieceReasons,
    Plan,
    PlanChange,
    PlanKind,
    PlanNote,
    Promise,
    Shortfall,
    Tighter,
    TighterNeeds,
    Wish,
)
from roomcheck.units import M_PER_IN, band_name
from roomcheck.words.documents.texts import say
from roomcheck.words.numbers import beside, counted, rounded_up, size, with_limit
from roomcheck.words.places import named
from roomcheck.words.reader import Reader
from roomcheck.words.saying import Voices, fill, joined, register, sentence, sentences


def plan_title(plan: Plan, reader: Reader) -> str:
    """Say what a plan is: never that it is what the target needs where it misses that."""
    kind = plan.kind
    if kind in _OF_THE_TARGET and not plan.reaches_target:
        kind = PlanKind.NEAREST
    return sentence(fact(kind), reader)


_OF_THE_TARGET = frozenset(
    {PlanKind.TARGET, PlanKind.NO_BUDGET, PlanKind.BUDGET_COVERS, PlanKind.OPTIONS}
)


def _where(band_hz: float | None) -> str:
    return say("the_mean") if band_hz is None else band_name(band_hz)


def _too_long(
    reader: Reader,
    likely_s: float,
    limit_s: float,
    lacking_m2: float,
    hung_m2: float,
    curtain: bool,
    rug: bool,
    barred: tuple[str, ...],
    band_hz: float | None = None,
    best_alpha: float | None = None,
) -> str:
    value, limit = with_limit(likely_s, limit_s, upper=True)
    cures = []
    if best_alpha is not None:
        cures.append(f"deeper pieces (the best in stock takes {best_alpha:.2f} of it)")
    if barred:
        cures.append(f"permission to fix pieces to the {joined(barred)}")
    if curtain:
        cures.append("heavy curtains over the glass or the door, drawn when it matters")
    if rug:
        cures.append("a thick rug (another trade)")
    lacking = f" (about {lacking_m2:.1f} m² of absorption lacking)" if lacking_m2 > 0 else ""
    cures.append(f"more area than the {hung_m2:.1f} m² of this plan{lacking}")
    return (
        f"{_where(band_hz)}: {value} s expected, over the limit of {limit} s. "
        f"To cure it: {joined(cures, 'or')}."
    )


def _too_short(
    reader: Reader, likely_s: float, limit_s: float, bare: bool, band_hz: float | None = None
) -> str:
    value, limit = with_limit(likely_s, limit_s, upper=False)
    cure = "To cure it: fewer or shallower pieces, at the price of another wish, or a harder floor."
    if bare:
        cure = "The room is too dead as it is: take soft things out, or lay a harder floor."
    return f"{_where(band_hz)}: {value} s expected, under the limit of {limit} s. {cure}"


def _as_planned(reader: Reader, within_m: float) -> str:
    """How far a piece may hang beside its place, as a tape has it: in whole quarters of an inch."""
    quarter_m = M_PER_IN / 4
    taped_m = within_m
    if reader.units == "imperial":
        taped_m = round(within_m / quarter_m) * quarter_m
    return f"All pieces of this plan hang where it shows them, within {size(taped_m, reader)}."


def _range(how: str, *, upper: bool) -> Callable[..., str]:
    def say(
        reader: Reader,
        likely_s: float,
        end_s: float,
        limit_s: float,
        measured: bool,
        band_hz: float | None = None,
    ) -> str:
        likely = beside(likely_s, *((None, limit_s) if upper else (limit_s, None)))
        end, limit = with_limit(end_s, limit_s, upper=upper)
        cure = "Measuring the room before would narrow the range."
        if measured:
            cure = "More source-microphone pairs before and after would narrow the range."
        return (
            f"{_where(band_hz)}: {likely} s expected, but it could be {how} {end} s "
            f"(limit {limit} s). {cure}"
        )

    return say


def _uncovered(reader: Reader, source: str, face: str, level_db: float, patch: str = "") -> str:
    where = ""
    if patch:
        where = f" It falls on the {patch}: hang a curtain there, or move seat or source."
    return (
        f"The first reflection of {source} off the {named(face)} stays at {level_db:.1f} dB.{where}"
    )


def _absorbs(
    reader: Reader, face: str, bands_hz: tuple[float, ...], added_m2: tuple[float, ...]
) -> str:
    each = [
        f"{added:.2f} m² at {band_name(hz)}" for hz, added in zip(bands_hz, added_m2, strict=True)
    ]
    return f"Adds {joined(each)} of absorption to the {named(face)}."


def _sureness(
    reader: Reader,
    values: int,
    likely: int,
    wholly: int,
    chance_pct: float,
    together_pct: float,
    band_hz: float | None = None,
) -> str:
    least = "the mean" if band_hz is None else band_name(band_hz)
    if likely == values:
        start = f"All {values} values should meet the target"
    else:
        start = f"{likely} of {values} values should meet the target"
    counted = f", {wholly} over their whole range" if wholly < likely else ""
    return (
        f"{start}{counted}: all together with {_likelihood(together_pct)} likelihood, the least "
        f"certain ({least}) with {_likelihood(chance_pct)}."
    )


def _likelihood(chance_pct: float) -> str:
    if chance_pct > 99:
        return "over 99 %"
    return "under 1 %" if chance_pct < 1 else f"{chance_pct:.0f} %"


def _apart(method: str) -> Callable[..., str]:
    def say(reader: Reader, bands_hz: tuple[float, ...], decays_s: tuple[float, ...]) -> str:
        each = [
            f"{decay_s:.2f} s at {band_name(hz)}"
            for hz, decay_s in zip(bands_hz, decays_s, strict=True)
        ]
        return (
            f"{method} predicts {joined(each)}, outside our range, because the absorption sits on "
            "few surfaces: spread over more of them the two would agree."
        )

    return say


def _stopped(reader: Reader, gap_pct: float | None = None) -> str:
    if gap_pct is None:
        return "The search was stopped early: a better layout may well exist."
    return f"The search was stopped early: no other layout is more than {gap_pct:.1f} % better."


def _price_of_sureness(
    reader: Reader,
    sure_pct: tuple[int, ...],
    pieces: tuple[int, ...],
    prices: tuple[float, ...],
    found_pct: tuple[float, ...],
    currency: str,
    none_pct: tuple[int, ...] = (),
    here_pct: float | None = None,
    here_price: float | None = None,
) -> str:
    # Of equal prices the surest, which stands last.
    rows = zip(prices, zip(sure_pct, pieces, found_pct, strict=True), strict=True)
    each = [
        f"{_how_sure(sure, chance)}: {count} pieces, {_beside_here(price, here_price, currency)}"
        for price, (sure, count, chance) in dict(rows).items()
    ]
    if none_pct:
        each.append(f"{joined([str(pct) for pct in none_pct], 'or')} % sure: no plan was found")
        if not sure_pct and here_pct is not None:
            each.append(f"this one has a chance of {here_pct:.0f} %")
    return f"Price against risk: {'; '.join(each)}."


def _beside_here(price: float, here: float | None, currency: str) -> str:
    """A planner's price beside that of the plan that is read: the plan's own stands in its quote,
    to the cent, and one plan has one price."""
    if here is None:
        return f"about {currency}{price:,.0f}"
    more = round(price - here)
    if more == 0:
        return "at this plan's price"
    return f"about {currency}{abs(more):,} {'more' if more > 0 else 'less'}"


def _how_sure(sure_pct: int, found_pct: float) -> str:
    """A level that a contractor may choose, or the chance of what is below them all."""
    chosen = sure_pct >= min(SURE_PCT)
    return f"{sure_pct} % sure" if chosen else f"hardly more likely than not ({found_pct:.0f} %)"


def _promised_inside(
    reader: Reader,
    *,
    pieces: int | None = None,
    more: float | None = None,
    found_pct: float | None = None,
    currency: str = "",
    price: float | None = None,
) -> str:
    # Earlier agreements keep a `price` too; it is not said, for a plan's one price is its quote's.
    if pieces is None or more is None:
        return (
            "The promise reaches outside the target, as it says; no plan was found whose promise "
            "lies wholly inside."
        )
    return (
        f"For about {currency}{more:,.0f} more, with {pieces} pieces, everything that is promised "
        f"would lie inside the target (reached with {found_pct:.0f} % chance)."
    )


def _one_sort(
    reader: Reader,
    *,
    faces: tuple[str, ...],
    more: float,
    currency: str,
    price: float | None = None,
) -> str:
    # As above of `price`.
    where = joined([f"the {named(face)}" for face in faces])
    extra = f"about {currency}{more:,.0f} more" if more > 0 else "no more"
    return (
        f"Panels of different sorts hang on {where}; one sort on each would cost {extra} "
        "and reach the target as surely."
    )


def _for_wishes(
    reader: Reader,
    pieces: int,
    of: int,
    names: tuple[str, ...],
    wishes: tuple[str, ...],
    price: float,
    currency: str,
    without: str,
) -> str:
    served = joined([sentence(fact(Wish(wish)), reader) for wish in wishes])
    more = f"{pieces} more of {of} pieces, " if pieces > 0 else ""
    plain = sentence(fact(PlanKind(without)), reader).lower()
    return (
        f"{more}about {currency}{price:,.0f} more than what the decay needs, for {served} "
        f"(changed: {joined(names)}); without them: {plain}."
    )


def _scatter_or_absorb(
    reader: Reader, pieces: int, currency: str, price: float, absorbers: int, gain_s: float
) -> str:
    them = (
        "The diffuser behind the seat costs about {} and leaves"
        if pieces == 1
        else f"The {pieces} diffusers behind the seat cost about {{}} and leave"
    )
    return (
        f"{them.format(f'{currency}{price:,.0f}')} the decay as it is; the same money buys "
        f"{counted(absorbers, 'absorber')}, which would take {gain_s:.2f} s off the mean decay."
    )


def _diffusers(reader: Reader, pieces: int, most_s: float) -> str:
    them, they = (
        ("The diffuser", "it scatters")
        if pieces == 1
        else (f"Each of the {pieces} diffusers", "they scatter")
    )
    return (
        f"{them} changes the decay by {most_s:.3f} s at most: {they} what comes back, and no "
        "number here says how that will sound."
    )


def _all_unheard(reader: Reader, first: int, pieces: int) -> str:
    if first == 1:
        return (
            f"No single piece is audible on its own in the decay; the {pieces} together are "
            "(5 %, ISO 3382-1, extended from EDT)."
        )
    return (
        f"In order of benefit, no piece from number {first} of {pieces} on is audible on its own "
        "in the decay (5 %, ISO 3382-1, extended from EDT)."
    )


register(
    {
        LayoutAct.MOVED: "{name} moved, on the {face:face}",
        LayoutAct.TURNED: "{name} turned",
        LayoutAct.ADDED: "{name} added, a {piece} on the {face:face}",
        LayoutAct.REMOVED: "{name} taken away",
        LayoutAct.PINNED: "{name} pinned: it stays when the plan is made anew",
        LayoutAct.UNPINNED: "{name} no longer pinned",
        LayoutAct.FORBIDDEN: "{name} taken away, and nothing shall hang there",
        LayoutAct.ALLOWED: "everything that was not wanted may hang again",
        LayoutAct.AGAIN: "planned anew round what is pinned and not wanted",
        LayoutAct.AIMED: "planned anew for another budget or target",
        LayoutAct.BACK: "back to state {number}",
        LayoutAct.STARTED: "as plan {number} had it",
    }
)

register(
    {
        PlanKind.BUDGET: "What the budget buys",
        PlanKind.BUDGET_COVERS: "What the target needs, within the budget",
        PlanKind.NO_BUDGET: "What the target needs",
        PlanKind.TARGET: "What the target needs",
        PlanKind.NEAREST: "What comes nearest to the target",
        PlanKind.OPTIONS: "What the target needs, with its options",
        PlanKind.MOST: "The most that makes sense",
        PlanKind.BY_HAND: "As you placed it",
        Wish.EARLY: "first reflections",
        Wish.FLUTTER: "sound that bounces between bare walls",
        Wish.BASS: "the bass",
        Wish.SCATTER: "scattering behind the seat",
        WhyHere.COVERS_REFLECTION: Voices(
            client=(
                "Softens the echo from {source} off the {face:face} before it reaches {seat}, "
                "{level_db:.1f} dB against the direct sound."
            ),
            contractor=(
                "Covers the place where sound from {source} bounces off the {face:face} to {seat}, "
                "{level_db:.1f} dB against the direct sound."
            ),
        ),
        WhyHere.BREAKS_FLUTTER: (
            "Stops sound bouncing back and forth between the bare {face:face} and {opposite:face}."
        ),
        WhyHere.IN_CORNER: (
            "Stands across the corner of {face:face} and {beside:face}, {leg_m:length} along each, "
            "where every room mode has pressure."
        ),
        WhyHere.SCATTERS: (
            "Scatters what comes back from behind the seat, from about {from_hz:.0f} Hz up; heads "
            "stay at least {distance_m:length} away."
        ),
        WhyHere.ABSORBS: _absorbs,
        WhyHere.ABOVE_HEAD_HEIGHT: "Hangs above head height because the wall is full below.",
        WhyHere.BELOW_HEAD_HEIGHT: "Hangs below head height because the wall is full above.",
        WhyHere.PINNED: "A person pinned it there.",
        PlanNote.ALREADY_GOOD: "The room is good as it is: nothing needs to hang here.",
        PlanNote.BUDGET_TOO_SMALL: "The budget does not cover the visit and a single piece.",
        PlanNote.PRICE_WITHIN_BUDGET: (
            "Estimated price {currency}{price:,.0f} of a budget of {currency}{budget:,.0f}; the "
            "quote works it out."
        ),
        PlanNote.PINS_OVER_BUDGET: (
            "What is pinned costs about {currency}{price:,.0f} by itself, more than the budget of "
            "{currency}{budget:,.0f}: unpin a piece, or speak about the budget."
        ),
        PlanNote.SURENESS: _sureness,
        PlanNote.CONFIRMED: (
            "Asked again with possible rooms that the plan was not chosen by: {fresh_pct:.0f} % "
            "likelihood."
        ),
        PlanNote.STOCK_ASIDE: (
            "Of {of} stock pieces {pieces} were set aside before the search: by a first reckoning "
            "others do as much here for less. Pin a piece to have it all the same."
        ),
        PlanNote.PRICE_OF_SURENESS: _price_of_sureness,
        PlanNote.PROMISED_INSIDE: _promised_inside,
        PlanNote.ONE_SORT: _one_sort,
        PlanNote.NOT_FORESEEN: lambda reader, bands_hz: (
            f"The target also judges {joined([band_name(hz) for hz in bands_hz])}, which nobody "
            "can foresee here: whether it is met there is not counted."
        ),
        PlanNote.FOR_WISHES: _for_wishes,
        PlanNote.BASS_BEHIND: (
            "Once treated, 125 Hz would ring about {ratio:.1f} times as long as 500 Hz (more than "
            "{most:g} is heard as boomy); {lacking_m2:.1f} m² more at 125 Hz would even it out. No "
            "fault of the bass was measured, so nothing hangs for it."
        ),
        PlanNote.SCATTER_OR_ABSORB: _scatter_or_absorb,
        PlanNote.NO_SCATTER_SEAT: "No diffuser: no `seat` is named, so nothing is behind it.",
        PlanNote.NO_SCATTER_USE: "No diffuser: in so small a room for a voice nothing is to ring.",
        PlanNote.NO_SCATTER_STOCK: "No diffuser: the shop builds none.",
        PlanNote.NO_SCATTER_NEAR: (
            "No diffuser: behind the seat no free wall is {least_m:length} away, as a head needs."
        ),
        PlanNote.NO_SCATTER_ROOM: (
            "No diffuser: the wall behind the seat has no room for one beside what is needed there."
        ),
        PlanNote.NOTHING_FORESEEN: (
            "No octave of the target can be predicted, so nobody can say whether it is reached."
        ),
        PlanNote.EACH_UNHEARD: _all_unheard,
        PlanNote.TOGETHER_UNHEARD: (
            "All pieces after the first {heard} together change the decay by less than 5 %: they "
            "hang there for other octaves, first reflections, flutter or safety."
        ),
        PlanNote.DIFFUSERS: _diffusers,
        PlanNote.FORMULA_APART: _apart("A simpler formula"),
        PlanNote.SIMULATION_APART: _apart("The simulation"),
        PlanNote.SYMMETRY_UNKNOWN: (
            "Left and right were not planned alike: that takes two sources and a `seat`."
        ),
        PlanNote.NOT_SYMMETRIC: (
            "Left and right were not planned alike: loudspeakers, seat and walls are not symmetric "
            "to within 2 in (the seat is {nearer_m:length} nearer to one loudspeaker). Moving them "
            "there is free and comes first."
        ),
        PlanNote.STOCK_UNUSABLE: (
            "Not used: {piece}, because it has no core and no material that say how it absorbs."
        ),
        PlanNote.SEARCH_STOPPED: _stopped,
        PlanNote.SEARCH_PROVED: "No other layout can be more than {gap_pct:.2g} % better.",
        PlanNote.NOT_SETTLED: (
            "Plan and prediction still corrected each other slightly; this is the best of the "
            "layouts tried."
        ),
        Shortfall.TOO_LONG: _too_long,
        Shortfall.TOO_SHORT: _too_short,
        Shortfall.RANGE_TOO_LONG: _range("up to", upper=True),
        Shortfall.RANGE_TOO_SHORT: _range("as low as", upper=False),
        Shortfall.REFLECTION_UNCOVERED: _uncovered,
        TighterNeeds.GRADE: "{grade} grade",
        TighterNeeds.ROOM_UNCERTAIN: "the prediction itself is only good to ±{least_pct:up} %",
        TighterNeeds.TOO_MANY_PAIRS: "it would take more than {most} pairs",
        Condition.CHOSEN_PAIRS: lambda _, pairs: (
            f"Measured as the mean T20 over {len(pairs)} source-microphone pairs: "
            f"{joined([f'{source}-{microphone}' for source, microphone in pairs])}, at the "
            "positions of the first visit and of the room's plan."
        ),
        Condition.SAME_PAIRS: (
            "Measured as the mean T20 of the same source-microphone pairs, at the positions of the "
            "first visit."
        ),
        Condition.SAME_EQUIPMENT: (
            "Same loudspeaker, microphone, recorder and settings; loudspeaker and microphones on "
            "stands at the same heights."
        ),
        Condition.SAME_FURNITURE: (
            "The furniture and floor covering of the first visit, as listed; nothing taken away, "
            "nothing added."
        ),
        Condition.EMPTY_AND_QUIET: (
            "Nobody in the room but the person who measures; doors and windows shut; heating and "
            "ventilation off."
        ),
        Condition.AS_PLANNED: _as_planned,
        Condition.NOT_BELOW_TRANSITION: Voices(
            client=(
                "The lowest octaves, where single notes stand out, are for information and not "
                "promised."
            ),
            contractor=(
                "Octaves below the transition frequency are for information and not promised."
            ),
        ),
        Advice.RUG: "a thick rug on felt there (another trade)",
        Advice.ON_PATCH: "it falls on the {patch}: a curtain there, or move seat or source",
        Advice.LEAVE_TO_FIX: "permission to fix to the {face:face}, a stand there, or move the "
        "seat or source",
        Advice.DEEPER_PIECE: "a deeper piece there, or move seat or source",
    }
)

for closed_list in (WhyHere, PlanNote, Shortfall, TighterNeeds, Condition, Advice):
    # Equal texts of different lists are one key in a table, so each has a table of its own.
    register({closed_list("as_signed"): "{text}"})

FOR_THE_SHOP = frozenset(
    {
        PlanNote.SEARCH_STOPPED,
        PlanNote.SEARCH_PROVED,
        PlanNote.NOT_SETTLED,
        PlanNote.STOCK_UNUSABLE,
        PlanNote.EACH_UNHEARD,
    }
)
"""Notes that a client can do nothing with."""


def plan_notes(plan: Plan, reader: Reader) -> tuple[str, ...]:
    """Say what there is to know about a plan: to a client without how it was searched for."""
    kinds = FOR_THE_SHOP if reader.who == "client" else frozenset()
    return sentences((note for note in plan.notes if note.kind not in kinds), reader)


def _tighter(needs: Tighter, reader: Reader) -> str:
    """Say how many pairs one tighter tolerance would take."""
    reason = sentence(needs.reason, reader)
    return f"±{needs.tolerance_pct:g} % would need {needs.pairs} pairs ({reason})."


def tighter_lines(needs: Sequence[Tighter], reader: Reader) -> tuple[str, ...]:
    """Say what tighter tolerances would take; those that cannot be had, in one line."""
    lines = [_tighter(one, reader) for one in needs if one.pairs is not None]
    never = [one for one in needs if one.pairs is None]
    if never:
        widest = max(never, key=lambda one: one.tolerance_pct)
        less = " or less" if len(never) > 1 else ""
        reason = sentence(widest.reason, reader)
        lines.append(f"±{widest.tolerance_pct:g} %{less} cannot be promised: {reason}.")
    return tuple(lines)


def tolerance(promise: Promise) -> str:
    """Say what tolerance of the mean may be signed; empty where none."""
    if promise.tolerance_pct is None:
        return ""
    grade = f", {promise.grade} grade" if promise.grade not in ("", "none") else ""
    tolerance_pct = rounded_up(promise.tolerance_pct, 0)
    return f"±{tolerance_pct} % for the mean, with {promise.positions} pairs{grade}."


SOON_DECIDED_PCT = 80.0
"""How often the second measurement ought to decide a promise that is true (a judgement). [%]"""


def promise_odds(promise: Promise, reader: Reader) -> tuple[str, ...]:
    """Say how likely a promise is true, how likely so many pairs decide it, and where it reaches
    outside the target; nothing where it was not worked out."""
    if reader.who == "client":
        return _odds_for_clients(promise)
    lines = []
    if promise.true_pct is not None:
        lines.append(
            f"All promised values together are true with {_likelihood(promise.true_pct)} "
            "likelihood, with pieces as they are believed."
        )
    if promise.decided:
        each = [f"with {by.pairs} pairs {by.kept_pct:.0f} %" for by in promise.decided]
        lines.append(
            f"A true promise is called kept at the second measurement {joined(each)} of the time; "
            "else it stays undecided until more pairs are measured."
        )
        lines += _more_pairs(promise)
    if promise.beyond_target_hz:
        where = [_where(hz or None) for hz in promise.beyond_target_hz]
        lines.append(f"The promise reaches outside the target here: {joined(where)}.")
    return tuple(lines)


def _more_pairs(promise: Promise) -> list[str]:
    """Advise as many pairs as decide a true promise often enough, no more than the job's places
    make."""
    decided, most = {by.pairs: by.kept_pct for by in promise.decided}, promise.most_pairs
    enough = next((n for n, pct in decided.items() if pct >= SOON_DECIDED_PCT), None)
    if enough is None or enough <= promise.positions:
        return []
    agreed = f"Agreed are {promise.positions} pairs"
    often = f"decided {SOON_DECIDED_PCT:.0f} times in 100 or more"
    if most is None or enough <= most:
        how = f"choose {enough} before signing (`pairs_after` of the job)"
        return [f"{agreed}: to have it {often}, {how}."]
    name = f"To have it {often} takes {enough}: name more sources or microphones before signing."
    if most <= promise.positions or most not in decided:
        return [f"{agreed}, all that the job's places make. {name}"]
    all_of = (
        f"{agreed}; the job's places make {most}, which decide it {decided[most]:.0f} times in 100 "
        "(`pairs_after` of the job)."
    )
    return [f"{all_of} {name}"]


def _odds_for_clients(promise: Promise) -> tuple[str, ...]:
    """The same without a table in a sentence: the pairs as agreed, and twice as many."""
    lines = []
    if promise.true_pct is not None:
        lines.append(
            f"We expect to keep all of it: {_likelihood(promise.true_pct)} likelihood for all "
            "promised values together."
        )
    decided = {by.pairs: by.kept_pct for by in promise.decided}
    first, second = decided.get(promise.positions), decided.get(2 * promise.positions)
    if first is not None and second is not None:
        lines.append(
            f"A kept promise is shown at once with {first:.0f} % likelihood, and after measuring "
            f"at twice the pairs with {second:.0f} %. Until then we call it undecided."
        )
    return tuple(lines)


def _price_change(price_change: Decimal, currency: str) -> str:
    if abs(price_change) < 1:
        return "about the same price"
    way = "more" if price_change > 0 else "less"
    return f"about {currency}{abs(price_change):,.0f} {way} to the client"


def change_lines(change: PlanChange, reader: Reader, currency: str) -> tuple[str, ...]:
    """Say what a change by hand costs in pieces, money, decay and wishes."""
    pieces = f"{counted(len(change.plan.pieces), 'piece')} instead of {change.pieces_before}"
    lines = [f"{pieces}; {_price_change(change.price_change, currency)}."]
    was, by = change.mid_before_s, change.mid_change_s
    if was is not None and by is not None:
        way = "longer" if by > 0 else "shorter"
        heard = "audible" if change.heard else "not audible"
        lines.append(
            f"The mean decay is {was + by:.3f} s instead of {was:.3f} s: {abs(by):.3f} s {way}, "
            f"{heard}."
        )
    lines += [f"No longer reached: {sentence(lost, reader)}" for lost in change.lost]
    lines += [f"Still not reached: {sentence(still, reader)}" for still in change.still_missed]
    lines += [f"Now reached: {_about(gained)}." for gained in change.gained]
    if change.removed:
        lines.append(f"Gone: {joined([placed.name for placed in change.removed])}.")
    moved = [(f"{now.name}, moved", now) for _, now in change.moved]
    for name, placed in [*((f"{p.name}, new", p) for p in change.added), *moved]:
        place = fill(
            "{left:length} from the left, {bottom:length} up",
            reader,
            left=placed.place.u_m,
            bottom=placed.place.v_m,
        )
        lines.append(f"{name}: {placed.piece} on the {named(placed.face)}, {place}.")
    return tuple(lines)


def _about(shortfall: Fact[Shortfall]) -> str:
    """What a shortfall is about, in a word or two."""
    if shortfall.kind == Shortfall.REFLECTION_UNCOVERED:
        return f"the first reflection of {shortfall['source']} off the {named(shortfall['face'])}"
    return _where(shortfall.get("band_hz"))


def why_lines(why: PieceReasons, currency: str) -> tuple[str, ...]:
    """Say what a piece does for its price."""
    lines = [
        f"Without it, and nothing in its place, the client pays about {currency}{why.price:,.0f} "
        "less."
    ]
    if why.mid_with_s is not None and why.mid_without_s is not None:
        lines.append(
            f"The mean decay would be {why.mid_without_s:.3f} s instead of {why.mid_with_s:.3f} s."
        )
    if why.price_per_hundredth is None:
        lines.append(
            "It shortens the mean decay by less than a millisecond: it is there for the reasons "
            "above."
        )
    else:
        lines.append(
            f"That is {currency}{why.price_per_hundredth:,.2f} for a hundredth of a second."
        )
    return (*lines, *(_lost(lost) for lost in why.lost))


def _lost(lost: LostValue) -> str:
    where = _where(lost.band_hz)
    if lost.likely_inside:
        return (
            f"{where}: inside the limits without it, but no longer surely: {lost.low_s:.3f} to "
            f"{lost.high_s:.3f} s."
        )
    return f"{where}: {lost.likely_s:.3f} s expected without it, outside the limits."
