"""Words that stand on every copy of a document, one module a document."""
