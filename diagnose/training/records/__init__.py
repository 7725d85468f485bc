"""Trainees in the store: who they are, and their cases step by step."""
