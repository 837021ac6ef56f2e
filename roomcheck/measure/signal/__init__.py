"""Signals: the sweep, its deconvolution, and what both are made of."""
