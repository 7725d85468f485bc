"""What training says of a case, a step and a score, in whole lines; what shows them wraps them."""
