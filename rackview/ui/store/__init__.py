"""The store in the window: when it can't be opened, and what can be done with it."""
