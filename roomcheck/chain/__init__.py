"""One job's results, each computed once and kept in the job's folder.

job = roomcheck.open_job("harbour-room")
job.verdict, job.plans, job.quote       # computed when first asked for, kept from then on
"""

from roomcheck.chain.results import Chain, NoSuchPlan, NotSigned, open_job
from roomcheck.chain.steps import Activity, Progress, Steps, Stopped

__all__ = [
    "Activity",
    "Chain",
    "NoSuchPlan",
    "NotSigned",
    "Progress",
    "Steps",
    "Stopped",
    "open_job",
]
