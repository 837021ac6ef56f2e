"""Height patterns of diffusers."""
