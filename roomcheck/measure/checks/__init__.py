"""Checks on a take: keep it, or repeat it."""
