"""Rating curves of background noise."""
