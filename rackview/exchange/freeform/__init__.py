"""Tables as keepers keep them: what they mean is guessed, asked about where it is not plain, and then read."""
