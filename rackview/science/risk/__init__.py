"""How likely a culture is to fall within three days, from what was seen of it: a model from numbers to a chance."""
