"""Qt widgets and layout that several screens share."""
