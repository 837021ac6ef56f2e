"""Closed lists of the workshop: parts, notes on the cut list, steps, cautions, work, patterns."""

from __future__ import annotations

from typing import Literal

from roomcheck.facts import Kind


class Part(Kind):
    """What a cut becomes."""

    BACK = "back"
    BACKING = "backing"
    BACKING_CLOTH = "backing_cloth"
    BOTTOM_STRIP = "bottom_strip"
    BLOCK = "block"
    CORE = "core"
    CORE_SQUARE = "core_square"
    CORE_STOP = "core_stop"
    """Across the frame behind a core that stands off its back: keeps it at the front."""
    CROSS_RAIL = "cross_rail"
    FABRIC = "fabric"
    FELT_TILE = "felt_tile"
    FILL = "fill"
    FIN = "fin"
    FRAME_LONG = "frame_long"
    FRAME_SHORT = "frame_short"
    FRONT = "front"
    FRONT_CLOTH = "front_cloth"
    FRONT_RAIL = "front_rail"
    """Inside a box, behind its front: what the front is fixed to."""
    GUSSET = "gusset"
    JIG_DRILL = "jig_drill"
    """Strip with holes at the pitch of a perforated front."""
    JIG_FENCE = "jig_fence"
    """Straight edge that rows of blocks are laid against."""
    JIG_HEAD = "jig_head"
    """Of the gauge for wall cleats: lies along the top line."""
    JIG_LEG = "jig_leg"
    """Of the gauge for wall cleats: ends at the cleat's bottom edge."""
    JIG_SPACER = "jig_spacer"
    """As thick as the slot between two slats."""
    JIG_SQUARE = "jig_square"
    """Clamped into a frame's corner."""
    JIG_STOP = "jig_stop"
    """At the saw's fence, its foot bevelled so that dust does not hold parts off."""
    MEMBRANE = "membrane"
    PIECE_CLEAT = "piece_cleat"
    RIB = "rib"
    SHELF = "shelf"
    SLAT = "slat"
    SPLICE = "splice"
    SPACER = "spacer"
    WALL_CLEAT = "wall_cleat"
    WALL_STRIP = "wall_strip"
    WELL_FLOOR = "well_floor"
    WELL_RAIL = "well_rail"
    """Along both edges of a well, under its raised floor."""


class Note(Kind):
    """What the cut list says beside a part."""

    BEHIND_FRAME = "behind_frame"
    BEVEL_BOTTOM = "bevel_bottom"
    BEVEL_TOP = "bevel_top"
    BUTTS_BETWEEN = "butts_between"
    CORNER_TO_CORNER = "corner_to_corner"
    FLOOR_ON_BACK = "floor_on_back"
    FLOOR_RAISED = "floor_raised"
    GLUED_AND_SEALED = "glued_and_sealed"
    HOLES = "holes"
    JIG_CORNER_TO_CORNER = "jig_corner_to_corner"
    """A square cut in two: two corners with a right angle, their tip cut off for the glue."""
    JIG_FOOT = "jig_foot"
    JIG_HOLES = "jig_holes"
    JIG_HOOK = "jig_hook"
    JIG_STRAIGHT = "jig_straight"
    JIG_THICK = "jig_thick"
    KNIFE = "knife"
    LAYERS = "layers"
    MITRED = "mitred"
    NAP = "nap"
    ON_BEAD = "on_bead"
    ON_EDGE_OF_BACK = "on_edge_of_back"
    ONE_EDGE_BEVELLED = "one_edge_bevelled"
    OPEN_WEAVE = "open_weave"
    RAIL = "rail"
    RAILS = "rails"
    RIBS = "ribs"
    RUNS_OVER = "runs_over"
    SHELF = "shelf"
    SPARE = "spare"
    THICK = "thick"
    TRIANGLES = "triangles"


class Surface(Kind):
    """What takes a finish."""

    BLOCK_SIDES = "block_sides"
    FRAME = "frame"
    FRONT_AND_FRAME = "front_and_frame"
    FRONTS_AND_BACKING = "fronts_and_backing"
    WELLS = "wells"


class Step(Kind):
    """What is done at the bench, in its order."""

    # every piece
    FRAME = "frame"
    DEPTH = "depth"
    FINISH = "finish"
    FIT_CLEAT = "fit_cleat"
    # block diffusers
    ACCLIMATISE = "acclimatise"
    CHOOSE_WOOD = "choose_wood"
    """Which face, which edge and which end of a board go where, and which board goes back."""
    BATCH = "batch"
    """All pieces of a kind go through one setting before it is changed."""
    CLAMP = "clamp"
    """The frame's glue-up: in which order, how long."""
    FINISH_FIRST = "finish_first"
    """What is finished before it is assembled, and what stays bare for glue."""
    MEASURE_STICKS = "measure_sticks"
    SAND_STICKS = "sand_sticks"
    CUT_BLOCKS = "cut_blocks"
    READ_MAP = "read_map"
    LAY_DRY = "lay_dry"
    GLUE_ROWS = "glue_rows"
    CHECK_ROWS = "check_rows"
    WEIGH_DOWN = "weigh_down"
    TURN_EVERY_OTHER = "turn_every_other"
    STAIN_STICKS = "stain_sticks"
    # well diffusers
    WELL_ORDER = "well_order"
    ASSEMBLE_WELLS = "assemble_wells"
    GLUE_FINS = "glue_fins"
    WIDEN_WELLS = "widen_wells"
    # panels, clouds and corners
    STAPLE_BACKING = "staple_backing"
    CORE_STOPS = "core_stops"
    BLOW_THROUGH = "blow_through"
    LAY_CORE = "lay_core"
    STRETCH_FABRIC = "stretch_fabric"
    NOTCH_CORE = "notch_core"
    LIFT_POINTS = "lift_points"
    STRADDLE = "straddle"
    SHELVE_FILL = "shelve_fill"
    CUT_FELT = "cut_felt"
    # boxes
    SPACE_SLATS = "space_slats"
    CLOTH_BEHIND_SLATS = "cloth_behind_slats"
    DRILL = "drill"
    CLOTH_BEHIND_HOLES = "cloth_behind_holes"
    BED_MEMBRANE = "bed_membrane"
    HOLD_FILL_BACK = "hold_fill_back"
    SEAL_BOX = "seal_box"
    CAVITY = "cavity"
    # corner stacks
    CUT_TRIANGLES = "cut_triangles"
    SHELVE_STACK = "shelve_stack"
    TIE_STACK = "tie_stack"


class Caution(Kind):
    """What the shop and the installer must know before they begin."""

    # where work can hurt someone
    SAW = "saw"
    DUST = "dust"
    WOOL = "wool"
    LIFT = "lift"
    HIDDEN = "hidden"
    OVERHEAD = "overhead"
    FIRE = "fire"
    FINISH = "finish"
    DEFER = "defer"
    CAVITY_OFF = "cavity_off"
    """Its absorption was computed with a depth `predicted_m` behind the front, and it is
    `built_m`."""
    # where a piece comes out otherwise than drawn
    JOINED = "joined"
    WEIGH_ONE = "weigh_one"
    CORE_THICKNESS = "core_thickness"
    STANDS_OFF = "stands_off"
    TOO_DEEP = "too_deep"
    OVER_SIZE = "over_size"
    UNDER_SIZE = "under_size"
    WOOD_MOVES = "wood_moves"
    HEIGHTS_TOUCH = "heights_touch"
    ROWS_REPEAT = "rows_repeat"
    SUMS_OFF = "sums_off"
    WELLS_LEFT_OVER = "wells_left_over"
    WELLS_TOO_DEEP = "wells_too_deep"
    FILL_TOUCHES = "fill_touches"
    FRONT_THICKNESS = "front_thickness"
    RESONATES = "resonates"


Side = Literal["wide", "high"]
"""Across a panel, or up it."""


class Work(Kind):
    """What the hours go to."""

    BOX_AND_FILL = "box_and_fill"
    CORE = "core"
    CUT = "cut"
    CUT_BLOCKS = "cut_blocks"
    CUT_TRIANGLES = "cut_triangles"
    FABRIC = "fabric"
    FINISH = "finish"
    FRAME = "frame"
    FRONT = "front"
    GLUE_UP = "glue_up"
    ACCLIMATISE = "acclimatise"
    """Wood lies in the room's air: no hours, and `days` that pass."""
    INSTALL = "install"
    LAY_AND_GLUE = "lay_and_glue"
    RIP_AND_CUT = "rip_and_cut"
    SAND_STICKS = "sand_sticks"
    OWN = "own"
    """As the shop's file calls it: `name`."""


class SiteStep(Kind):
    """Order of work on site."""

    PROTECT = "protect"
    FIND_FRAMING = "find_framing"
    LEVEL_LINE = "level_line"
    CLEATS = "cleats"
    TEST_CLEATS = "test_cleats"
    HANG = "hang"
    LOCK = "lock"
    SET_POINTS = "set_points"
    """Overhead: lift points marked, approved, fixed and tried."""
    RAISE = "raise"
    """Overhead: raised, hung, levelled, each safety wire closed."""
    RECORD = "record"


class Packing(Kind):
    """What goes on the van."""

    PIECES = "pieces"
    CLEATS = "cleats"
    SCREWS = "screws"
    ANCHORS = "anchors"
    HANGING_SETS = "hanging_sets"
    LADDER = "ladder"
    SECOND_PERSON = "second_person"
    TOOLS = "tools"
    PROTECTION = "protection"
    WRAPPING = "wrapping"
    LOADING = "loading"
    """Faces in the order in which the van is loaded: what hangs last goes in first."""
    TOUCH_UP = "touch_up"
    MICROPHONE = "microphone"


class Pattern(Kind):
    """How the heights or depths of a diffuser were made; enough to make them again."""

    DRAWN = "drawn"
    RESIDUES = "residues"
    ROOT = "root"
    WELLS_RESIDUES = "wells_residues"
    WELLS_ROOT = "wells_root"
    WELLS_OWN = "wells_own"
