"""The room in space: the scene as the browser draws it, and the drawing that stands where it
cannot."""

from __future__ import annotations

import json

from roomcheck.chain import Chain
from roomcheck.job import Placement
from roomcheck.page.planning.plan import chosen_plan
from roomcheck.plain import to_plain
from roomcheck.report import room_picture
from roomcheck.scene import HALF_ANGLE_DEG, best_view, scene


def space_json(chain: Chain, plan: str) -> str:
    """The scene, and the view that the still drawing has of it.

    Parameters
    ----------
    plan : str
        Number of the plan whose pieces hang there, "chosen" for the one that the page shows first,
        "" for the room as it is.
    """
    job = chain.job
    built = scene(job, _pieces(chain, plan))
    whole = to_plain(built)
    for shape in whole["shapes"]:
        del shape["inside"]
    view = to_plain(best_view(built)) | {"half_angle_deg": HALF_ANGLE_DEG}
    return json.dumps(whole | {"view": view}, ensure_ascii=False)


def space_svg(chain: Chain, plan: str) -> str:
    """The still drawing, with the first reflections where nothing hangs yet."""
    return room_picture(chain.job, _pieces(chain, plan), paths=not plan)


def _pieces(chain: Chain, plan: str) -> tuple[Placement, ...]:
    """What hangs; nothing where no plan is kept."""
    if not plan:
        return ()
    shown = chosen_plan(chain, plan)
    return () if shown is None else shown.pieces
