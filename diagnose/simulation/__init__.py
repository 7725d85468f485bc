"""Bikes with hidden causes: what they show, chance that repeats, intervals over cases."""
