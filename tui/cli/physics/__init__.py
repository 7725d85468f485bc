"""Commands that calculate."""
