"""Job cards: what a case came to, on paper."""
