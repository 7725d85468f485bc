"""Commands about training."""
