"""A case played by a trainee, move by move."""
