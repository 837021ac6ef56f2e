"""Values against their limits."""
