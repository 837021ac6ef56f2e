"""What is done in the shop and on the ladder: lists to tick, hours, marks on a wall."""
