"""A case: what was said, measured, done and ridden, and files of it."""
