"""What is in each vessel now and in the days ahead: the estimate, carried event by event."""
