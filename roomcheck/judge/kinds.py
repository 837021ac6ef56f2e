"""The closed lists that a verdict is made of."""

from __future__ import annotations

from roomcheck.facts import Kind


class Outcome(Kind):
    """Where a decay lies against its limits."""

    WITHIN = "within"
    TOO_LONG = "too long"
    TOO_SHORT = "too short"
    UNDECIDED = "undecided"
    NOT_MEASURED = "not measured"
    MODAL = "modal"
    """Below the transition frequency: the decay is shown and not judged."""
    NO_LIMIT = "no limit"


class MeanNote(Kind):
    """What goes with the verdict on the mean, or why there is none."""

    ALL_MODAL = "all octaves modal"
    LACKS = "octaves lacking"
    LEFT_OUT = "octaves left out"
    MEANT_IN_USE = "meant in use"
    MEANT_EMPTY = "meant without people"
    LIMITS_CARRIED = "limits carried to the people there"


class FindingKind(Kind):
    """What a client would hear."""

    TOO_LIVE = "too live"
    TOO_DEAD = "too dead"
    BOOMY = "boomy"
    DULL = "dull"
    UNEVEN = "uneven"
    RINGING_MODE = "ringing mode"
    MISSING_NOTE = "missing note"
    BOUNDARY_DIP = "boundary dip"
    EARLY_REFLECTION = "early reflection"
    EARLY_OBJECT = "early reflection off an object"
    HOLLOW = "hollow"
    SLAP = "slap"
    FLUTTER = "flutter"
    LEFT_RIGHT = "left and right differ"
    UNCLEAR_SPEECH = "unclear speech"
    POOR_SPEECH_INDEX = "poor speech index"
    DOUBLE_SLOPE = "double slope"
    NOISE = "noise"
    RATTLE = "rattle"


BASS_FINDINGS = (FindingKind.BOOMY, FindingKind.RINGING_MODE)
"""Faults that absorption in the corners cures first."""


class LimitSource(Kind):
    """Whose limit it is."""

    DOCUMENT = "document"
    """The target's own, or one for noise; the fact's value `document` names it."""
    COMMON_PRACTICE = "common practice"
    VOICE_BOOTHS = "common practice in voice booths"
    BS_1116 = "ITU-R BS.1116-3"
    AFTER_BS_1116 = "common practice after ITU-R BS.1116-3"
    ISO_3382_2_ANNEX_B = "ISO 3382-2 Annex B"
    IEC_60268_16 = "IEC 60268-16"
    OUR_MARGIN = "our margin"


class Certainty(Kind):
    """How sure a finding is, and by what."""

    SEEN_IN_PAIRS = "seen in pairs"
    COULD_ALSO_BE = "could also be"
    NOT_ON_THE_PLAN = "not on the plan"
    CAUSE_UNKNOWN = "cause unknown"
    BEAT_FITS = "beat fits one distance"
    BEAT_FITS_SEVERAL = "beat fits several distances"
    ONLY_THIS_SOURCE = "only this source"
    ONE_SOURCE = "one source"
    ONE_SEAT_TWO_SOURCES = "one seat, two sources"
    CALIBRATED = "calibrated level"
    SEVERAL_TAKES = "several takes"
    ONE_TAKE = "one take"
    MODE_FIT = "fit of the mode"
    MOVE_FORESEEN = "move foreseen with rigid walls"
    NO_MOVE_NEAR = "no move near"
    NOT_EXPLAINED_BY_SIZE = "not explained by the room's size"
    NO_RECTANGLE = "no rectangle"


class Remedy(Kind):
    """What helps; a finding's first ones cost nothing."""

    ADD_SOFT_THINGS = "add soft things"
    ADD_ABSORPTION = "add absorption"
    PANELS_ARE_NO_SOUNDPROOFING = "panels are no soundproofing"
    TAKE_DOWN_SOFT_THINGS = "take down soft things"
    SCATTER_FACES = "scattering faces"
    LEAVE_THE_CORNER = "leave the corner"
    ABSORB_LOW = "absorb low"
    NO_THIN_PANELS = "no thin panels"
    TAKE_DOWN_THIN = "take down thin absorbers"
    DEEP_WITH_SLATS = "deep with slats"
    SPREAD_OUT = "spread out"
    PANELS_ON_BARE = "panels on bare surfaces"
    REPLACE_THIN_BY_DEEP = "replace thin by deep"
    STIFFEN_PANELLING = "stiffen panelling"
    MOVE_ALONG = "move along an axis"
    SECOND_BASS_SOURCE = "second bass source"
    DEEP_AT_ENDS = "deep absorbers at the ends"
    ONLY_TUNED = "only tuned pieces"
    THIN_DO_NOTHING = "thin panels do nothing"
    MOVE_SEAT_TOWARDS = "move the seat towards"
    MOVE_SEAT_AND_LISTEN = "move the seat and listen"
    MOVE_LOUDSPEAKER = "move the loudspeaker"
    NO_PANEL_FILLS = "no panel fills it"
    OUT_OF_RANGE_OF_FACE = "out of the range of a face"
    DEEP_BEHIND_SOURCE = "deep behind the source"
    NO_EQUALISER = "no equaliser"
    CLEAR_THE_DESK = "clear the desk"
    MOVE_A_FOOT = "move a foot"
    FOAM_AT_EDGE = "foam at the edge"
    BLANKET_BEFORE_SUSPECT = "blanket before the suspect"
    TURN_THE_THING = "turn the thing"
    COVER_THE_THING = "cover the thing"
    CLOSER_TOGETHER = "closer together"
    TURN_LOUDSPEAKER = "turn the loudspeaker"
    RUG = "rug"
    ABSORBER_UNDER_CEILING = "absorber under the ceiling"
    CURTAIN_BEFORE = "curtain before an opening"
    ABSORBER_AT = "absorber at a place"
    TWO_INCHES_TOO_THIN = "two inches too thin"
    BOOKCASE = "bookcase"
    DIFFUSER_BEHIND = "diffuser behind"
    CLAP_AND_SEARCH = "clap and search"
    COVER_WHEN_FOUND = "cover when found"
    BREAK_FLUTTER = "break flutter"
    RUG_OR_CEILING = "rug or ceiling"
    ONE_OF_TWO_WALLS = "one of two walls"
    DIFFUSER_ON_ONE = "diffuser on one"
    CENTRE_LINE = "centre line"
    SAME_ON_BOTH_SIDES = "same on both sides"
    TALKER_CLOSER = "talker closer"
    FACE_THE_LISTENERS = "face the listeners"
    ABSORB_LATE = "absorb late sound"
    LEAVE_NEAR_TALKER_BARE = "leave near the talker bare"
    NOISE_FIRST = "noise first"
    SHUT_DOORS = "shut doors"
    TREAT_BARE_PAIR = "treat the bare pair"
    SWITCH_OFF = "switch off"
    VENTILATION_FIRM = "ventilation firm"
    PANELS_QUIETEN_LITTLE = "panels quieten little"
    FIND_BUZZ_BY_HAND = "find the buzz by hand"
    OTHER_LOUDSPEAKER = "other loudspeaker"
    OTHER_TRADES = "other trades"


FREE = frozenset(
    {
        Remedy.ADD_SOFT_THINGS,
        Remedy.TAKE_DOWN_SOFT_THINGS,
        Remedy.LEAVE_THE_CORNER,
        Remedy.TAKE_DOWN_THIN,
        Remedy.SPREAD_OUT,
        Remedy.MOVE_ALONG,
        Remedy.MOVE_SEAT_TOWARDS,
        Remedy.MOVE_SEAT_AND_LISTEN,
        Remedy.MOVE_LOUDSPEAKER,
        Remedy.OUT_OF_RANGE_OF_FACE,
        Remedy.CLEAR_THE_DESK,
        Remedy.MOVE_A_FOOT,
        Remedy.BLANKET_BEFORE_SUSPECT,
        Remedy.TURN_THE_THING,
        Remedy.CLOSER_TOGETHER,
        Remedy.TURN_LOUDSPEAKER,
        Remedy.BOOKCASE,
        Remedy.CLAP_AND_SEARCH,
        Remedy.BREAK_FLUTTER,
        Remedy.CENTRE_LINE,
        Remedy.TALKER_CLOSER,
        Remedy.FACE_THE_LISTENERS,
        Remedy.SHUT_DOORS,
        Remedy.SWITCH_OFF,
        Remedy.FIND_BUZZ_BY_HAND,
    }
)
"""Remedies that cost nothing but the trying."""
