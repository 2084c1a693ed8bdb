"""The compare screen: vessels and kits side by side."""
