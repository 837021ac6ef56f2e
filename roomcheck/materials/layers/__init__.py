"""Absorption computed from layers and shapes."""
