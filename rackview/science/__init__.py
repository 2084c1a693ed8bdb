"""The science shelf: one module per phenomenon, numbers in and numbers out."""
