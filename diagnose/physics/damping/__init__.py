"""Damping: the curve and its adjusters, a bounce test, two masses in closed form, worn oil."""
