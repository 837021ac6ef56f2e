"""One job's results, each computed once and kept in the job's folder.

job = roomcheck.open_job("harbour-room")
job.verdict, job.plans, job.quote       # computed when first asked for, kept from then on
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.doors import door

if TYPE_CHECKING:
    from roomcheck.chain.all_jobs import (
        begun,
        kept_together,
        to_build,
        work_all_jobs,
        work_together,
    )
    from roomcheck.chain.backup.manifest import BadPack, Extent, Manifest
    from roomcheck.chain.backup.pack import Pack, pack
    from roomcheck.chain.backup.unpack import Unpacked, check_pack, unpack
    from roomcheck.chain.bills import write_credit, write_invoice
    from roomcheck.chain.changes import CannotChange, pieces_after, propose_change, sign_change
    from roomcheck.chain.kept import keeping_takes
    from roomcheck.chain.layouts import draw, kept_drawn
    from roomcheck.chain.offer import kept_offer, priced_again, set_offer
    from roomcheck.chain.results import Chain, NoSuchPlan, NotSigned, open_job
    from roomcheck.chain.steps import SHOWN, Activity, Progress, Steps, Stopped, left

__all__ = [
    "SHOWN",
    "Activity",
    "BadPack",
    "CannotChange",
    "Chain",
    "Extent",
    "Manifest",
    "NoSuchPlan",
    "NotSigned",
    "Pack",
    "Progress",
    "Steps",
    "Stopped",
    "Unpacked",
    "begun",
    "check_pack",
    "draw",
    "keeping_takes",
    "kept_drawn",
    "kept_offer",
    "kept_together",
    "left",
    "open_job",
    "pack",
    "pieces_after",
    "priced_again",
    "propose_change",
    "set_offer",
    "sign_change",
    "to_build",
    "unpack",
    "work_all_jobs",
    "work_together",
    "write_credit",
    "write_invoice",
]

__getattr__, __dir__ = door(__name__)
