"""What was made of each take, kept in the job's folder."""

from __future__ import annotations

from contextlib import AbstractContextManager

from roomcheck.chain.method import method_of
from roomcheck.job import Job

KEPT_TAKES = "takes"
"""Folder in `results`."""


def keeping_takes(job: Job) -> AbstractContextManager[None]:
    """Within this, each recording of a job is heard once: when it comes in, or is first read."""
    from roomcheck.measure import keeping

    return keeping(job.folder / "results" / KEPT_TAKES, method_of("measure"))
