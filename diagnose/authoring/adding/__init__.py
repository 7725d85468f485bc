"""Entries made by questions, put into a pack, and what they do to worked cases."""
