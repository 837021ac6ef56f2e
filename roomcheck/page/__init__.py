"""The job in a browser: everything the commands do, for people who never open a terminal."""

from __future__ import annotations

from roomcheck.page.serve import serve

__all__ = ["serve"]
