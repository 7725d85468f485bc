"""Many cases at once."""
