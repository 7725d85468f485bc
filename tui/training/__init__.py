"""Training as it is played and shown, on the screens and line by line."""
