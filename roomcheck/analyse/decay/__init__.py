"""Impulse response to decay times and clarity, band by band."""
