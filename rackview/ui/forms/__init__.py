"""Forms in which something is typed."""
