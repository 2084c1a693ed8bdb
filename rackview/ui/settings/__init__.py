"""The settings screen of the rack."""
