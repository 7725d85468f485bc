"""The handbook of a rule base: everything it holds, in words, with where each entry came from."""
