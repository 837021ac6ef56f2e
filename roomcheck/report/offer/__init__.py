"""What a client is offered and billed."""
