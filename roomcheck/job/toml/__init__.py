"""TOML files of people: values with their lines, mistakes collected, writing whole or not at
all."""
