"""The use cases: do, undo, and say what changed."""
