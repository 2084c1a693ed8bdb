"""A seeded simulator of an invented rack."""
