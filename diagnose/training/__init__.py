"""Learning the order of a diagnosis on simulated bikes."""
