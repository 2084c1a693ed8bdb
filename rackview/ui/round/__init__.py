"""The round: its screen, its model, its words."""
