"""The job folder: everything a person types, read and written."""

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
from roomcheck.job.shop import Need, PorousCore, Price, Rates, Shop, StockPiece

__all__ = [
    "SCHEMA",
    "Fixing",
    "Framing",
    "Furnishing",
    "Job",
    "KeepClear",
    "Need",
    "OwnTarget",
    "Patch",
    "Placement",
    "PorousCore",
    "Position",
    "Price",
    "Rates",
    "Shop",
    "StockPiece",
    "Visit",
]
