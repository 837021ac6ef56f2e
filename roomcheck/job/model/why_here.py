"""Why a piece hangs where it does: kinds that a plan gives its placements."""

from __future__ import annotations

from roomcheck.facts import Kind


class WhyHere(Kind):
    """A reason for one piece at one place."""

    COVERS_REFLECTION = "covers_reflection"
    """`source`, `seat`, `face`; `level_db` relative to the direct sound and `delay_s` after it."""
    BREAKS_FLUTTER = "breaks_flutter"
    """`face`, and `opposite`: the other hard face."""
    IN_CORNER = "in_corner"
    """`face` and `beside`; `leg_m` along each wall."""
    SCATTERS = "scatters"
    """`from_hz`; `distance_m` to the nearest head."""
    ABSORBS = "absorbs"
    """`face`; `bands_hz` with `added_m2` in each."""
    ABOVE_HEAD_HEIGHT = "above_head_height"
    BELOW_HEAD_HEIGHT = "below_head_height"
    PINNED = "pinned"
    """A person wants it there."""
    AS_SIGNED = "as_signed"
    """`text`: a sentence of a plan signed before reasons had kinds."""
