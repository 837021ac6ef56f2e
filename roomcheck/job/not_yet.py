"""What a room may have and a job cannot say yet, each with what to do meanwhile."""

from __future__ import annotations

_SLOPE = (
    "a sloped ceiling cannot be described yet. Meanwhile: `height` is the mean height (volume over "
    "floor area), and a [[forbid]] on each wall keeps pieces off the low part; measured decays are "
    "right, reflections off the ceiling are not"
)
_COLUMN = (
    "a column cannot be described yet. Meanwhile: leave it out of the plan, give its surface as a "
    "[[furnishing]] with its material and square metres, and a [[keep_clear]] where it stands; "
    "measured decays are right, paths that it blocks are not"
)
_OPEN = (
    "a room that is open to the next one cannot be described yet: one closed room is planned. "
    "Meanwhile: shut the door, or hang a heavy curtain in the doorway and give it as a [[patch]], "
    "for measuring and for use; where it stays open, measured decays are right (a double slope "
    "says that the other room rings on), predictions and promises are not"
)

_SLOPE_KEYS = (
    "slope", "slopes", "sloped", "pitch", "heights", "eaves", "ridge", "low_height",
    "high_height", "height_low", "height_high", "dormer", "roof",
)  # fmt: skip
_COLUMN_KEYS = ("column", "columns", "pillar", "pillars", "post", "posts", "beam", "beams")
_OPEN_KEYS = (
    "open_door", "open_doors", "doorway", "doorways", "opening", "openings", "next_room",
    "adjoining_room", "coupled", "coupled_room", "archway",
)  # fmt: skip
_HOLES = (
    "open door", "open doorway", "doorway", "open archway", "archway", "opening", "open",
    "open air", "air", "nothing",
)  # fmt: skip

NOT_YET = (
    dict.fromkeys(_SLOPE_KEYS, _SLOPE)
    | dict.fromkeys(_COLUMN_KEYS, _COLUMN)
    | dict.fromkeys(_OPEN_KEYS, _OPEN)
)
"""Keys that people try, of the file's top and of its room."""

NOT_YET_MATERIALS = dict.fromkeys(_HOLES, _OPEN)
"""Materials that people try for a hole in a wall."""
