"""What is chosen from, and what the target asks of a choice: costs and rules."""
