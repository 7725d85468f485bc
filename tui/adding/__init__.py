"""The screens on which a shop adds what it knows to its own pack."""
