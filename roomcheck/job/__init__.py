"""The job folder: everything a person types, read and written."""

from roomcheck.job.amend import amend_job, keep_changes, keep_shop
from roomcheck.job.disk import CannotRead, CannotWrite, write_atomically
from roomcheck.job.document import FileMistakes, Mistake, NewerFile
from roomcheck.job.load import NoJob, load_job
from roomcheck.job.model import (
    SCHEMA,
    Fixing,
    Forbid,
    Framing,
    Furnishing,
    Job,
    KeepClear,
    OwnTarget,
    Patch,
    Pin,
    Placement,
    Position,
    Visit,
)
from roomcheck.job.new import JobIsThere, new_job
from roomcheck.job.ready import Readiness, check_job
from roomcheck.job.shop import Need, PorousCore, Price, Rates, Resonator, Shop, StockPiece
from roomcheck.job.shop_file import default_shop, read_shop
from roomcheck.job.signed import AlreadySigned, read_signed, write_signed

__all__ = [
    "SCHEMA",
    "AlreadySigned",
    "CannotRead",
    "CannotWrite",
    "FileMistakes",
    "Fixing",
    "Forbid",
    "Framing",
    "Furnishing",
    "Job",
    "JobIsThere",
    "KeepClear",
    "Mistake",
    "Need",
    "NewerFile",
    "NoJob",
    "OwnTarget",
    "Patch",
    "Pin",
    "Placement",
    "PorousCore",
    "Position",
    "Price",
    "Rates",
    "Readiness",
    "Resonator",
    "Shop",
    "StockPiece",
    "Visit",
    "amend_job",
    "check_job",
    "default_shop",
    "keep_changes",
    "keep_shop",
    "load_job",
    "new_job",
    "read_shop",
    "read_signed",
    "write_atomically",
    "write_signed",
]
