"""What can be the case with a recording: closed lists for `roomcheck.words` to put in sentences."""

from __future__ import annotations

from typing import Literal

from roomcheck.facts import Kind

Machine = Literal["player", "recorder"]
Choice = Literal["record", "keep", "repeat", "skip", "save", "stop"]
"""What a person may answer during a walk."""


class Take(Kind):
    """Why a take must be repeated, or what to know of one that is kept."""

    CLIPPED = "clipped"
    OVERDRIVEN = "overdriven"
    HARMONICS = "harmonics"
    STANDS_STILL = "stands_still"
    SAMPLES_LOST = "samples_lost"
    SAMPLES_ADDED = "samples_added"
    COMES_TWICE = "comes_twice"
    NO_REFLECTION = "no_reflection"
    LATE_ARRIVAL = "late_arrival"
    STRONG_REFLECTION = "strong_reflection"
    RANGE_LACKING = "range_lacking"
    STILL_SOUNDING = "still_sounding"
    BURST = "burst"
    WEAK_BURST = "weak_burst"
    SHAKEN_LOOSE = "shaken_loose"
    GAIN_UNCHECKED = "gain_unchecked"
    NOISE_CHANGES = "noise_changes"
    NOISE_UNDER_SWEEP = "noise_under_sweep"
    CLOCKS_SMEAR = "clocks_smear"
    CHANNELS_ALIKE = "channels_alike"
    ONLY_CHANNEL = "only_channel"
    LONG_RECORD = "long_record"
    RESAMPLED = "resampled"
    BAND_NOT_CARRIED = "band_not_carried"
    CLOCK_CORRECTED = "clock_corrected"
    JUMPS_UNCHECKED = "jumps_unchecked"
    LOSSY_FILE = "lossy_file"
    LOSSY_SIGNS = "lossy_signs"
    RATES_DIFFER = "rates_differ"
    RATES_CORRECTED = "rates_corrected"
    OUTPUT_RAN_DRY = "output_ran_dry"
    INPUT_LOST = "input_lost"
    IMPULSES = "impulses"
    FEW_IMPULSES = "few_impulses"
    ALL_OVERLOADED = "all_overloaded"
    ONE_OVERLOADED = "one_overloaded"
    LOSSY_IMPULSES = "lossy_impulses"
    MICROPHONE_CORRECTED = "microphone_corrected"
    UNREADABLE = "unreadable"
    AS_WRITTEN = "as_written"
    """A text of the sound card's, as older versions wrote it beside the take."""


class Record(Kind):
    """What kind of record it is, and what limits it."""

    LOSSY = "lossy"
    IMPULSE = "impulse"
    NUMBER = "number"
    FLAT_TOP = "flat_top"
    NEAR_FULL_SCALE = "near_full_scale"
    CUT_SHORT = "cut_short"
    NO_LOWS = "no_lows"


class Signal(Kind):
    """What was played."""

    SWEEP = "sweep"
    IMPULSES = "impulses"


class Scale(Kind):
    """Where the sound level of full scale comes from."""

    CALIBRATOR = "calibrator"
    SENSITIVITY = "sensitivity"
    RELATIVE = "relative"


class Unusable(Kind):
    """Why a sound device is of no use."""

    NO_CHANNELS = "no_channels"
    NO_RATE = "no_rate"
    ODD_RATES = "odd_rates"


class Flown(Kind):
    """What the time of flight says about the stands."""

    AS_PLANNED = "as_planned"
    TOO_NEAR = "too_near"
    TOO_FAR = "too_far"
    NO_LOOPBACK = "no_loopback"


class Way(Kind):
    """How a position is measured out with a tape."""

    FROM_WALL = "from_wall"
    ON_PLAN = "on_plan"


class Level(Kind):
    """How the search for a level went on and ended."""

    PROBE = "probe"
    PROBE_CLIPPED = "probe_clipped"
    PROBE_UNHEARD = "probe_unheard"
    PROBE_NO_NOISE = "probe_no_noise"
    YIELDS = "yields"
    FOUND = "found"
    NO_NOISE = "no_noise"
    UNHEARD = "unheard"
    CAUTION = "caution"


class LevelLimit(Kind):
    """Why a level was not raised further."""

    ENOUGH = "enough"
    SPEAKER_LIMIT = "speaker_limit"
    CEILING = "ceiling"
    STOPPED = "stopped"
    INPUT_FULL = "input_full"
    INPUT_FULL_AT_ONCE = "input_full_at_once"


class Walk(Kind):
    """What is said and asked while a visit is walked."""

    PAIR_DONE = "pair_done"
    PAIR_NEXT = "pair_next"
    SPEAKER_TO = "speaker_to"
    SPEAKER_STAYS = "speaker_stays"
    MICROPHONE_TO = "microphone_to"
    STEP_BACK = "step_back"
    RECORDING = "recording"
    GOOD = "good"
    NOT_GOOD = "not_good"
    NOTHING_KEPT = "nothing_kept"
    NOT_OF_PLACE = "not_of_place"
    PUT_ASIDE = "put_aside"
    IN_MEMORY = "in_memory"
    NO_FLIGHT = "no_flight"
    LEFTOVER_TAKEN = "leftover_taken"
    LEFTOVER_USELESS = "leftover_useless"
    PROBLEM = "problem"
    """The text of an error that a person can put right."""
