"""Published documents: limits, formulas and tables, one module an edition."""

from roomcheck.standards.target import BandLimit, Target

__all__ = ["BandLimit", "Target"]
