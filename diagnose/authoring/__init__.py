"""Tools for the author of a pack."""
