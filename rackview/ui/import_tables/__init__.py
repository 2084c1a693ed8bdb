"""The page on which tables are taken in: what their columns mean, what is asked, what each line becomes."""
