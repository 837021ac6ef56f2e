"""Plans: chosen, changed by hand, explained; for the page of plans."""
