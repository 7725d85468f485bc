"""Customers of the training: their bikes and what they say."""
