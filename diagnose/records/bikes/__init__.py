"""Bikes in the store: settings, hours and services."""
