"""All takes of a visit together."""
