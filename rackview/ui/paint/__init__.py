"""Drawing: functions of a painter, a rectangle, a state and a theme; one code for window, picture and print."""
