"""Journals whose entries are chained, so that damage shows."""
