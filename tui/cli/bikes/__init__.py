"""Commands about bikes."""
