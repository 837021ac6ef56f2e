"""Standing waves and the frequency response."""
