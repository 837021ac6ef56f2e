"""Documents and figures."""

from roomcheck.report.drawn import write_drawings
from roomcheck.report.make import lacking, report

__all__ = ["lacking", "report", "write_drawings"]
