"""The harshness budget: which fault makes how much of the excess, and what a change would do."""
