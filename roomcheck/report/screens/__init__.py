"""What commands show that no document does."""
