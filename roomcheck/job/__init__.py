"""The job folder: everything a person types, read and written."""

from __future__ import annotations

from roomcheck.job.logo.logo import logo_data
from roomcheck.job.logo.svg import NotDrawn
from roomcheck.job.model.bench import bench_job
from roomcheck.job.model.job import (
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
    Units,
    Visit,
    VisitName,
)
from roomcheck.job.model.kinds import NEEDED_SIZES, FramingKind, ShopMaterial, UsedFor
from roomcheck.job.model.practice import RunsLong, ShopPractice
from roomcheck.job.model.shop import (
    DIFFUSERS,
    CoreFront,
    Fits,
    Lesson,
    Need,
    NumberPattern,
    Offcut,
    OtherLength,
    PatternName,
    PieceKind,
    PorousCore,
    Price,
    Rates,
    Share,
    Shop,
    StockPiece,
)
from roomcheck.job.model.why_here import WhyHere
from roomcheck.job.read.entries import FIXING_RULES, KINDS, same_note
from roomcheck.job.read.learned import unlearned_shop
from roomcheck.job.read.load import NoJob, load_job
from roomcheck.job.read.pattern_text import PATTERNS_SAID, parse_pattern
from roomcheck.job.read.shop_file import default_shop, read_shop, shop_path
from roomcheck.job.ready import Hint, Missing, Readiness, check_job
from roomcheck.job.spots import Place, place_of
from roomcheck.job.store.lock import FolderIsHeld, holder_of, holding
from roomcheck.job.store.together import (
    FileChanged,
    Mended,
    NotInPlace,
    Put,
    ThereAlready,
    digest_of,
    mend,
    write_together,
)
from roomcheck.job.toml.disk import CannotRead, CannotWrite, make_folder, write_atomically
from roomcheck.job.toml.document import FileMistakes, Mistake, NewerFile
from roomcheck.job.toml.regular import NoRegularFile, is_there, open_regular, read_regular
from roomcheck.job.usual import USUAL_CLEARANCE_M, RoomSize, room_facts
from roomcheck.job.write.amend import amend_job, clear_changes, keep_changes
from roomcheck.job.write.edit import (
    ChangedMeanwhile,
    Edit,
    NoSuchEntry,
    edit_job,
    file_values,
    spelt,
    value_at,
)
from roomcheck.job.write.history import NothingToUndo, can_undo, redo, undo
from roomcheck.job.write.lessons import drop_lesson, keep_lesson, lesson_path
from roomcheck.job.write.new import DEFAULT_MATERIALS, JobIsThere, new_job, problem_of
from roomcheck.job.write.shop_copy import keep_shop, own_shop
from roomcheck.job.write.shop_keep import keep_practice, keep_rack, length_text
from roomcheck.job.write.signed import (
    AlreadySigned,
    read_changes,
    read_signed,
    signed_path,
    write_change,
    write_signed,
)

__all__ = [
    "DEFAULT_MATERIALS",
    "DIFFUSERS",
    "FIXING_RULES",
    "KINDS",
    "NEEDED_SIZES",
    "PATTERNS_SAID",
    "SCHEMA",
    "USUAL_CLEARANCE_M",
    "AlreadySigned",
    "CannotRead",
    "CannotWrite",
    "ChangedMeanwhile",
    "CoreFront",
    "Edit",
    "FileChanged",
    "FileMistakes",
    "Fits",
    "Fixing",
    "FolderIsHeld",
    "Forbid",
    "Framing",
    "FramingKind",
    "Furnishing",
    "Hint",
    "Job",
    "JobIsThere",
    "KeepClear",
    "Lesson",
    "Mended",
    "Missing",
    "Mistake",
    "Need",
    "NewerFile",
    "NoJob",
    "NoRegularFile",
    "NoSuchEntry",
    "NotDrawn",
    "NotInPlace",
    "NothingToUndo",
    "NumberPattern",
    "Offcut",
    "OtherLength",
    "OwnTarget",
    "Patch",
    "PatternName",
    "PieceKind",
    "Pin",
    "Place",
    "Placement",
    "PorousCore",
    "Position",
    "Price",
    "Put",
    "Rates",
    "Readiness",
    "RoomSize",
    "RunsLong",
    "Share",
    "Shop",
    "ShopMaterial",
    "ShopPractice",
    "StockPiece",
    "ThereAlready",
    "Units",
    "UsedFor",
    "Visit",
    "VisitName",
    "WhyHere",
    "amend_job",
    "bench_job",
    "can_undo",
    "check_job",
    "clear_changes",
    "default_shop",
    "digest_of",
    "drop_lesson",
    "edit_job",
    "file_values",
    "holder_of",
    "holding",
    "is_there",
    "keep_changes",
    "keep_lesson",
    "keep_practice",
    "keep_rack",
    "keep_shop",
    "length_text",
    "lesson_path",
    "load_job",
    "logo_data",
    "make_folder",
    "mend",
    "new_job",
    "open_regular",
    "own_shop",
    "parse_pattern",
    "place_of",
    "problem_of",
    "read_changes",
    "read_regular",
    "read_shop",
    "read_signed",
    "redo",
    "room_facts",
    "same_note",
    "shop_path",
    "signed_path",
    "spelt",
    "undo",
    "unlearned_shop",
    "value_at",
    "write_atomically",
    "write_change",
    "write_signed",
    "write_together",
]
