"""Drawings for the shop and the installer, on paper in millimetres."""
