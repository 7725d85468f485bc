"""What carries the load: steel springs and their sag, the air in a fork, the air in a tyre."""
