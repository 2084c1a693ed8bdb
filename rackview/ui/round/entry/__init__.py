"""What is typed on the round and what it says, without a window: its columns, its model, its faults, its rows."""
