"""The interview line by line."""
