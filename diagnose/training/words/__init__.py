"""What training says of a case, a step and a score: whole lines, broken by whoever shows them."""
