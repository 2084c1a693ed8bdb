"""Feed: which a vessel gets, how long it lasts, what it costs."""
