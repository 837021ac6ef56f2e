"""What a client is shown: the offer with its signature, and whether its promise is kept."""
