"""Speech transmission, background noise, rattles."""
