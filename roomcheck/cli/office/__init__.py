"""Commands used at the desk."""
