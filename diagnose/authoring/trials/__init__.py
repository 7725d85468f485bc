"""How a rule base does on worked cases and on simulated bad rides."""
