"""The bench: the sums a keeper does by hand, their words, and the screen that shows them."""
