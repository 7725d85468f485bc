"""A simulated machine with hidden causes, and policies that try to find them."""
