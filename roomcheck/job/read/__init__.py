"""job.toml and shop.toml to the model."""
