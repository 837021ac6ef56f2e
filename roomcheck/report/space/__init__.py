"""The scene as a line drawing: hidden lines, hatching, names."""
