"""The job folder: everything a person types, read and written."""

from roomcheck.job.amend import amend_job, keep_shop
from roomcheck.job.disk import CannotRead, CannotWrite, write_atomically
from roomcheck.job.document import FileMistakes, Mistake, NewerFile
from roomcheck.job.learned import unlearned_shop
from roomcheck.job.lessons import drop_lesson, keep_lesson, lesson_path
from roomcheck.job.load import NoJob, load_job
from roomcheck.job.model import (
    SCHEMA,
    Fixing,
    Framing,
    Furnishing,
    Job,
    KeepClear,
    OwnTarget,
    Patch,
    Placement,
    Position,
    Visit,
)
from roomcheck.job.new import JobIsThere, new_job
from roomcheck.job.ready import Readiness, check_job
from roomcheck.job.shop import CoreFront, Lesson, Need, PorousCore, Price, Rates, Share, Shop, StockPiece
from roomcheck.job.shop_file import default_shop, read_shop
from roomcheck.job.signed import AlreadySigned, read_signed, write_signed

__all__ = [
    "SCHEMA",
    "AlreadySigned",
    "CannotRead",
    "CannotWrite",
    "CoreFront",
    "FileMistakes",
    "Fixing",
    "Framing",
    "Furnishing",
    "Job",
    "JobIsThere",
    "KeepClear",
    "Lesson",
    "Mistake",
    "Need",
    "NewerFile",
    "NoJob",
    "OwnTarget",
    "Patch",
    "Placement",
    "PorousCore",
    "Position",
    "Price",
    "Rates",
    "Readiness",
    "Share",
    "Shop",
    "StockPiece",
    "Visit",
    "amend_job",
    "check_job",
    "default_shop",
    "drop_lesson",
    "keep_lesson",
    "keep_shop",
    "lesson_path",
    "load_job",
    "new_job",
    "read_shop",
    "read_signed",
    "unlearned_shop",
    "write_atomically",
    "write_signed",
]
