"""Predictions with their ranges."""
