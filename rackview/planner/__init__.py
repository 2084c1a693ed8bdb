"""Demand against supply: who gives what, day by day."""
