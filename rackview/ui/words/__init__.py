"""Numbers, units, dates and events as text, shared by the screens."""
