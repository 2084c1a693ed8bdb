"""Flags and the reasoning for harvest, split, restart and the rest: plain comparisons on an assessment."""
