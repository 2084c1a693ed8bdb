"""The help screen: the pages of the documentation, offline."""
