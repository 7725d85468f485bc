"""Training line by line."""
