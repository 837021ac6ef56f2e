"""Something in the room buzzes."""

from __future__ import annotations

from roomcheck.analyse import Analysis
from roomcheck.judge.kinds import FindingKind
from roomcheck.judge.results import Finding
from roomcheck.measure import OVER_DB


def rattling(analysis: Analysis) -> Finding | None:
    """Buzzes that the sweep set off, all in one finding."""
    if not analysis.rattles:
        return None
    loudest = analysis.rattles[0]
    notes = ", ".join(f"{rattle.frequency_hz:.0f} Hz" for rattle in analysis.rattles)
    seen = "; ".join(
        f"{rattle.frequency_hz:.0f} Hz in {len(rattle.takes)} of {rattle.of} takes, "
        f"{rattle.over_db:.0f} dB over what else is left, {-rattle.under_db:.0f} dB under the "
        "sweep"
        for rattle in analysis.rattles
    )
    return Finding(
        kind=FindingKind.RATTLE,
        title=f"Something buzzes at {notes}",
        sentence=f"Something in the room buzzes when {notes} is played: it is a thing that is loose, not the room's "
        "sound.",
        evidence=f"While the sweep passes {seen}.",
        threshold=f"{OVER_DB:.0f} dB over what the sweep leaves at other notes, beating with it or found again in "
        "another take: our margin, noise scatters by 1 dB.",
        remedies=(
            "Free: play the note steadily, walk about and lay a hand on lamps, vents, doors, "
            "panes, picture frames and the loudspeaker's own grille until it stops; then fasten "
            "that.",
            (
                "Where the hand finds nothing, play the note through another loudspeaker: then it "
                "was the loudspeaker."
            ),
            "Ducts, pipes and ballasts are for their own trades: not a panel job.",
        ),
        beyond_jnd=loudest.over_db - OVER_DB,
        sure="Found again in several takes."
        if len(loudest.takes) > 1
        else "Heard in one take, in step with the sweep.",
    )
