"""Two futures side by side: with an act or a change and without."""
