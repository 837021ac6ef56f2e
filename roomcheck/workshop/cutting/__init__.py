"""Cutting plans: bars, sheets, fabric."""
