"""Why a number is missing from a prediction, and what to know about those that are there."""

from __future__ import annotations

from typing import Literal

from roomcheck.facts import Kind

Axis = Literal["x", "y", "z"]
"""Pair of faces across an axis: x and y are the walls, z floor and ceiling."""

Method = Literal["simulation", "eyring", "eyring and sabine"]
"""Which method to trust."""


class NoDecay(Kind):
    """Why an octave has no predicted decay."""

    BELOW_TRANSITION = "below_transition"
    """`transition_hz`: from the measurement."""
    BELOW_USUAL_TRANSITION = "below_usual_transition"
    """`transition_hz`: assumed, nothing was measured."""
    NO_COEFFICIENT = "no_coefficient"
    """`materials` whose source stops short of the octave."""
    NO_COEFFICIENT_NOR_DECAY = "no_coefficient_nor_decay"
    """The same where no measured decay stands in."""
    MORE_THAN_SURFACE = "more_than_surface"
    """The surfaces as given absorb more than there is of them."""
    NO_FIT = "no_fit"
    """The simulated energy does not allow a fit over 20 dB."""
    AS_SIGNED = "as_signed"


class PredictionNote(Kind):
    """What to know about a prediction as a whole."""

    UNEXPLAINED = "unexplained"
    """`band_hz`, `measured_s`, `expected_s`; `deviations` off, above 0 where measured is longer."""
    CAUSES_POSSIBLE = "causes_possible"
    """The causes that follow are possible; none is much likelier than the others."""
    OPENING = "opening"
    """`area_m2` that take all sound explain it."""
    OTHER_MATERIAL = "other_material"
    """`material` in place of `typed` explains it."""
    NO_SINGLE_CAUSE = "no_single_cause"
    AIR_ASSUMED = "air_assumed"
    """`temperature_c`, `humidity_pct`: no visit says."""
    IMAGES_NOT_FOLLOWED = "images_not_followed"
    NO_RECTANGLE = "no_rectangle"
    NO_POSITIONS = "no_positions"
    FIRST_PAIRS_FOLLOWED = "first_pairs_followed"
    """`followed` of `pairs`."""
    AS_SIGNED = "as_signed"


class OutlookNote(Kind):
    """What the target means, what is capped, what cannot be foreseen."""

    CAPPED = "capped"
    """`materials` with their highest coefficients `alphas` at `bands_hz`; `most_alpha`: the cap."""
    TARGET_UNOCCUPIED = "target_unoccupied"
    """`target`: its title."""
    TARGET_OCCUPIED = "target_occupied"
    """`target`, `people`."""
    TARGET_OCCUPIED_PEOPLE_UNKNOWN = "target_occupied_people_unknown"
    """`target`."""
    MODES_BELOW = "modes_below"
    """`transition_hz`; `modes` that the dimensions put below it."""
    MODES_BELOW_NO_BOX = "modes_below_no_box"
    """`transition_hz`."""


class NoSeatForecast(Kind):
    """Why a seat has no reflections."""

    HIDDEN = "hidden"
    """`source`, `seat`: they do not see each other."""


class Trust(Kind):
    """Why one method is to be trusted in this room."""

    UNEVEN_PAIRS = "uneven_pairs"
    """`most` and `least`: axes; `ratio` of their coefficients; `simulated_s`, `eyring_s`, and
    `fitzroy_s` where there is one."""
    HIGH_MEAN = "high_mean"
    """`mean_alpha`; Sabine reads `longer_pct` longer."""
    UNEVEN_PATCHES = "uneven_patches"
    """`simulated_s`, `eyring_s`."""
    LOW_AND_EVEN = "low_and_even"
    """`mean_alpha`; `pair_alphas`."""
    LOW_AND_SCATTERED = "low_and_scattered"
    """The same, uneven pairs with enough scattering between them."""


class SecondOpinion(Kind):
    """What to make of a decay traced by another program."""

    ONE_MISSING = "one_missing"
    AGREES = "agrees"
    DIFFERS = "differs"
