"""The job folder: everything a person types, read and written."""

from roomcheck.job.amend import amend_job, keep_changes, keep_shop
from roomcheck.job.bench import bench_job
from roomcheck.job.disk import CannotRead, CannotWrite, write_atomically
from roomcheck.job.document import FileMistakes, Mistake, NewerFile
from roomcheck.job.learned import unlearned_shop
from roomcheck.job.lessons import drop_lesson, keep_lesson, lesson_path
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
from roomcheck.job.practice import Practice
from roomcheck.job.ready import Readiness, check_job
from roomcheck.job.shop import (
    CoreFront,
    Lesson,
    Need,
    Offcut,
    OtherLength,
    PorousCore,
    Price,
    Rates,
    Share,
    Shop,
    StockPiece,
)
from roomcheck.job.shop_file import default_shop, read_shop, shop_path
from roomcheck.job.shop_keep import keep_practice, keep_rack, length_text
from roomcheck.job.signed import AlreadySigned, read_changes, read_signed, write_change, write_signed

__all__ = [
    "SCHEMA",
    "AlreadySigned",
    "CannotRead",
    "CannotWrite",
    "CoreFront",
    "FileMistakes",
    "Fixing",
    "Forbid",
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
    "Offcut",
    "OtherLength",
    "OwnTarget",
    "Patch",
    "Pin",
    "Placement",
    "PorousCore",
    "Position",
    "Practice",
    "Price",
    "Rates",
    "Readiness",
    "Share",
    "Shop",
    "StockPiece",
    "Visit",
    "amend_job",
    "bench_job",
    "check_job",
    "default_shop",
    "drop_lesson",
    "keep_changes",
    "keep_lesson",
    "keep_practice",
    "keep_rack",
    "keep_shop",
    "length_text",
    "lesson_path",
    "load_job",
    "new_job",
    "read_changes",
    "read_shop",
    "read_signed",
    "shop_path",
    "unlearned_shop",
    "write_atomically",
    "write_change",
    "write_signed",
]
