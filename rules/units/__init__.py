"""Quantities and units as people write them."""
