"""Documents and figures."""

from roomcheck.report.make import lacking, report

__all__ = ["lacking", "report"]
