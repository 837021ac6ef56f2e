"""Plans, their promises, and changes by hand."""
