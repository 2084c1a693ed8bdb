"""From what is believed to what is chosen: the planner's problem, its harvests, moves and days."""
