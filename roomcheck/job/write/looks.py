"""A cloth, stain or paint chosen for a kind of piece, or for all, as a change of the job's file."""

from __future__ import annotations

from roomcheck.job.model.job import Job
from roomcheck.job.write.edit import Edit


def look_edits(job: Job, name: str | None, piece: str = "") -> tuple[Edit, ...]:
    """Changes that choose a look, in the place of what was chosen before.

    Parameters
    ----------
    name : str or None
        Of a look of the shop's; None takes back what was chosen for this piece.
    piece : str
        Name of the stock piece; "" for all pieces that show such a thing.

    Returns
    -------
    tuple of Edit
        None where nothing was chosen and nothing is.
    """
    for_it = [number for number, one in enumerate(job.looks, 1) if one.piece == piece]
    if name is None:
        return tuple(Edit(("look", str(number)), None) for number in reversed(for_it))
    kind = next((look.kind for look in job.shop.looks if look.name == name), None)
    for number in for_it:
        before = job.looks[number - 1].look.kind
        if (before == "cloth") == (kind == "cloth"):
            return (Edit(("look", str(number), "look"), name),)
    return (Edit(("look",), {"look": name} | ({"piece": piece} if piece else {})),)
