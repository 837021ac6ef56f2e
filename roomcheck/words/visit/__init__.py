"""Takes and their analysis in words."""
