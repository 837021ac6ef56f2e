"""Drawings and charts, as SVG and DXF."""
