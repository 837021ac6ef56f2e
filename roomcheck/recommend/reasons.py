"""What is said of a plan, as kinds: what it is, what it misses, how sure it is, what to check."""

from __future__ import annotations

from roomcheck.facts import Kind


class PlanKind(Kind):
    """What a plan is; the values are the titles under which plans were signed."""

    BUDGET = "what the budget buys"
    """The budget does not reach what the target needs: the best that it pays for."""
    BUDGET_COVERS = "what the target needs, within the budget"
    """As plans were signed when the budget reached it; no longer made."""
    NO_BUDGET = "what the target needs, no budget named"
    """As plans were signed when no budget was named; no longer made."""
    TARGET = "what the target needs"
    """The least that reaches the target, as surely as the job asks."""
    NEAREST = "what comes nearest to the target"
    """No choice of this stock reaches it as surely as the job asks."""
    OPTIONS = "what the target needs, with its options"
    """The same with what would be heard beside the decay, at a price that is capped."""
    MOST = "what the room can take"
    """Aimed at the middle of the limits, whatever it costs."""
    BY_HAND = "as placed by hand"
    """Where a person put the pieces."""


AIMED = (PlanKind.TARGET, PlanKind.NEAREST)
"""Of a plan set one is of these kinds: what is proposed where nobody chose."""


class Wish(Kind):
    """What a plan may do beside the decay."""

    EARLY = "first reflections"
    """First reflections at the seat are covered."""
    FLUTTER = "flutter"
    """Hard faces that look at each other are broken up."""
    BASS = "bass"
    """Low notes do not ring on: something in the corners, and balance to the middle."""
    SCATTER = "scattering"
    """Diffusers behind the seat."""


class PlanNote(Kind):
    """What to know about a plan as a whole."""

    ALREADY_GOOD = "already_good"
    BUDGET_TOO_SMALL = "budget_too_small"
    """The budget does not cover the visit and a single piece."""
    PRICE_WITHIN_BUDGET = "price_within_budget"
    """`price` and `budget` in `currency`."""
    PINS_OVER_BUDGET = "pins_over_budget"
    """What is pinned costs `price` by itself, more than the `budget`, in `currency`."""
    SURENESS = "sureness"
    """Of `values` that the target judges, `likely` have their likely decay inside, `wholly` their
    whole range; all are inside together with `together_pct`; the least sure is `band_hz` (the mean
    without it), inside with `chance_pct`."""
    CONFIRMED = "confirmed"
    """All are inside together in `fresh_pct` of possible rooms that the plan was not chosen by; of
    plans signed before a chance was the less of two sets of rooms."""
    PRICE_OF_SURENESS = "price_of_sureness"
    """Reaching the target with `sure_pct` takes so many `pieces` for `prices` in `currency`, each a
    tuple alike; `found_pct` is what each choice then has. No plan was found for `none_pct`; the
    plan itself has `here_pct` and `here_price`, by the planner's estimate like all of them."""
    PROMISED_INSIDE = "promised_inside"
    """With `pieces`, for `more` in `currency` than this plan, everything promised lies inside
    the target; `found_pct` is how surely it is reached then. None of these where no plan was found
    that does."""
    ONE_SORT = "one_sort"
    """On `faces` panels of several sorts hang; one sort on each would cost `more` in `currency`
    and reach the target as surely."""
    NOT_FORESEEN = "not_foreseen"
    """`bands_hz` that the target judges and nobody can foresee."""
    FOR_WISHES = "for_wishes"
    """`pieces` of `of`, called `names`, are there for `wishes` and not for the decay: `price` in
    `currency`; the plan they are added to is `without`."""
    BASS_BEHIND = "bass_behind"
    """Once treated, 125 Hz rings `ratio` times as long as 500 Hz by the areas, more than `most`:
    `lacking_m2` at 125 Hz would even it out; nothing hangs for it, as no fault is heard."""
    SCATTER_OR_ABSORB = "scatter_or_absorb"
    """`pieces` diffusers behind the seat for `price` in `currency`; as many absorbers as the same
    money buys, `absorbers`, would take `gain_s` off the mean decay."""
    NO_SCATTER_SEAT = "no_scatter_seat"
    """No seat is named, so nothing is behind it."""
    NO_SCATTER_USE = "no_scatter_use"
    """The use wants none."""
    NO_SCATTER_STOCK = "no_scatter_stock"
    """The shop builds no diffuser."""
    NO_SCATTER_NEAR = "no_scatter_near"
    """The free wall behind the seat is nearer than `least_m`."""
    NO_SCATTER_ROOM = "no_scatter_room"
    """The wall behind the seat is needed for absorbers, or the target is missed with diffusers."""
    NOTHING_FORESEEN = "nothing_foreseen"
    EACH_UNHEARD = "each_unheard"
    """In order of benefit, from piece `first` of `pieces` on no single one is heard."""
    TOGETHER_UNHEARD = "together_unheard"
    """All pieces after the first `heard` together are not heard in the decay."""
    DIFFUSERS = "diffusers"
    """`pieces` that change the decay by `most_s` each at most."""
    FORMULA_APART = "formula_apart"
    """`bands_hz` where the diffuse-field formula's `decays_s` lie outside the range."""
    SIMULATION_APART = "simulation_apart"
    """`bands_hz` where the simulated `decays_s` lie outside the range."""
    SYMMETRY_UNKNOWN = "symmetry_unknown"
    """Left and right alike takes two sources and a seat."""
    NOT_SYMMETRIC = "not_symmetric"
    """The seat is `nearer_m` nearer to one loudspeaker."""
    STOCK_UNUSABLE = "stock_unusable"
    """`piece`: nothing says how it absorbs."""
    STOCK_ASIDE = "stock_aside"
    """`pieces` of `of` stock pieces were not searched: others do as much for less."""
    SEARCH_STOPPED = "search_stopped"
    """No other choice is more than `gap_pct` better; without it nothing is proved."""
    SEARCH_PROVED = "search_proved"
    """The same at the end of a search."""
    NOT_SETTLED = "not_settled"
    """Plan and prediction still corrected each other."""
    AS_SIGNED = "as_signed"


class Shortfall(Kind):
    """What a plan misses. A decay is that of `band_hz`, of the mean without it."""

    TOO_LONG = "too_long"
    """`likely_s` over `limit_s`; what would cure it: `best_alpha` of a deeper piece, leave to fix
    on `barred` faces, `curtain`, `rug`, `lacking_m2` beside the `hung_m2` of the plan."""
    TOO_SHORT = "too_short"
    """`likely_s` under `limit_s`; `bare` where nothing hangs."""
    RANGE_TOO_LONG = "range_too_long"
    """`likely_s` is inside `limit_s`, `end_s` of the range is not; `measured` beforehand or not."""
    RANGE_TOO_SHORT = "range_too_short"
    """The same at the lower limit."""
    REFLECTION_UNCOVERED = "reflection_uncovered"
    """First reflection of `source` off `face`, `level_db`; it falls on `patch`, where it does."""
    AS_SIGNED = "as_signed"


class TighterNeeds(Kind):
    """What a tighter tolerance asks for."""

    GRADE = "grade"
    """`grade` of ISO 3382-2."""
    ROOM_UNCERTAIN = "room_uncertain"
    """The prediction itself is only good to `least_pct`, however often it is measured."""
    TOO_MANY_PAIRS = "too_many_pairs"
    """More than `most` pairs."""
    AS_SIGNED = "as_signed"


class Condition(Kind):
    """Under which a promise holds."""

    CHOSEN_PAIRS = "chosen_pairs"
    SAME_PAIRS = "same_pairs"
    SAME_EQUIPMENT = "same_equipment"
    SAME_FURNITURE = "same_furniture"
    EMPTY_AND_QUIET = "empty_and_quiet"
    AS_PLANNED = "as_planned"
    """All pieces hang where the plan shows them, `within_m`."""
    NOT_BELOW_TRANSITION = "not_below_transition"
    AS_SIGNED = "as_signed"


class Advice(Kind):
    """What would help where a reflection stays above its limit."""

    RUG = "rug"
    ON_PATCH = "on_patch"
    """It falls on `patch`."""
    LEAVE_TO_FIX = "leave_to_fix"
    """On `face`."""
    DEEPER_PIECE = "deeper_piece"
    AS_SIGNED = "as_signed"


class CheckSubject(Kind):
    """What a check is about; the values are the subjects under which checks were signed."""

    EGRESS = "egress and projection"
    SPRINKLERS = "sprinklers and detectors"
    VENTS = "vents"
    HEATERS = "heaters and lights"
    DOORS = "doors and windows"
    OUTLETS = "outlets and switches"
    IN_SIGHT = "what stays in sight"
    WEIGHT = "weight"
    OVERHEAD = "overhead"
    FIRE_PAPERS = "fire papers"
    NOT_NOTED = "not noted"


class PlanCaution(Kind):
    """What a person has to look at before drilling: never an approval."""

    PROJECTS = "projects"
    """Up to `depth_m` from the wall, with an edge that a cane does not find."""
    NO_SWING_DRAWN = "no_swing_drawn"
    """`doors` without a door swing."""
    NEAR = "near"
    """The nearest piece is `apart_m` from `thing`."""
    OVER_OPENING = "over_opening"
    """Hangs over `opening`."""
    NOT_WANTED = "not_wanted"
    IN_SWING = "in_swing"
    """In the way of `thing`."""
    IN_WALKWAY = "in_walkway"
    """Stands out more than `most_m` into `thing`."""
    UNDER_SPRINKLER = "under_sprinkler"
    """Less than `least_m` below `thing`."""
    HEAVY_PIECE = "heavy_piece"
    """`weight_kg`."""
    HEAVY_WALL = "heavy_wall"
    """`face` carries `weight_kg_per_m2`."""
    LOADED_STUD = "loaded_stud"
    """The stud at `at_m` of `face` carries about `weight_kg`."""
    OVERHEAD_GRID = "overhead_grid"
    OVERHEAD_JOISTS = "overhead_joists"
    WIDE_CLOUD = "wide_cloud"
    """Wider than `widest_m` under sprinklers."""
    NO_FIRE_PAPERS = "no_fire_papers"
    """`stock` pieces without."""
    FRAMING_UNKNOWN = "framing_unknown"
    """`faces` whose studs or joists nobody has found."""
    NOT_NOTED = "not_noted"
    """The job names none of these `subjects`."""
    AS_SIGNED = "as_signed"
