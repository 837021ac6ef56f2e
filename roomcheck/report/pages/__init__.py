"""Documents for clients."""
