"""Commands about the rule base."""
