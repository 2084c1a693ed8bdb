"""One SQLite file that loses nothing."""
