"""Cases in the store: begun, added to, closed, listed."""
