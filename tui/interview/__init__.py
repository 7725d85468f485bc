"""The screens of a case at work."""
