"""Absorption and scattering as published."""
