"""What things cost and what to do next."""
