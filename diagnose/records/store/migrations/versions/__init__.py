"""Schema versions, oldest first."""
