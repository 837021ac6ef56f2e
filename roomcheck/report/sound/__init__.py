"""Files to listen to."""
