"""Hanging lines, fixings, collisions."""
