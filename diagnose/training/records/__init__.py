"""Trainees in the store."""
