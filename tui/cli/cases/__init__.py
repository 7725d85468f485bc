"""Commands about cases."""
