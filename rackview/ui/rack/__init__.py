"""The rack screen: the shelves with their tiles, and the list of the day beside them."""
