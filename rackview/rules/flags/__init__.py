"""The rules at work: what is found wrong with a vessel or the rack, each by one small function."""
