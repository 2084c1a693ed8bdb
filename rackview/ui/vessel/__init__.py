"""One vessel's page: its history, what is believed of it and why, and every action at hand."""
