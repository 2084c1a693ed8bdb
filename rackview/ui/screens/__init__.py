"""The screens of the window."""
