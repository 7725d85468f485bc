"""How likely each cause is, given what is known."""
