"""After a loss: the page of the days before it."""
