"""Whether a take is of the place that it is said to be of."""
