"""The screens and lists of kept cases."""
