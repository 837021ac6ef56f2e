"""Documents and figures."""

from roomcheck.report.bench import bench_sheets
from roomcheck.report.bills import write_bill
from roomcheck.report.drawn import write_drawings
from roomcheck.report.make import lacking, report

__all__ = ["bench_sheets", "lacking", "report", "write_bill", "write_drawings"]
