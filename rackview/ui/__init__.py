"""The window: models, painting, views."""
