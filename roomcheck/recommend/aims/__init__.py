"""What plans are aimed at: what is sought, and what is offered of it."""
