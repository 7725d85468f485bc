"""Points for a played case, and its review."""
