"""Blocks to PDF, HTML and data files."""
