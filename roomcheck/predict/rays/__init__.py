"""Image sources and energy transport."""
