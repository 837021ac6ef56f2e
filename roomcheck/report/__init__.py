"""Documents and figures."""

from roomcheck.report.figures.drawing_files import write_drawings
from roomcheck.report.make import lacking, report
from roomcheck.report.pages.bills import write_bill
from roomcheck.report.shop_pages.bench import bench_sheets

__all__ = ["bench_sheets", "lacking", "report", "write_bill", "write_drawings"]
