"""The stock screen: feeds, how long each lasts, when to order."""
