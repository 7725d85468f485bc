"""Simulated trainees, to see whether scores tell good habits from bad."""
