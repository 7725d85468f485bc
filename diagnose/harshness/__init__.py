"""From readings to the budget of a harsh feel."""
