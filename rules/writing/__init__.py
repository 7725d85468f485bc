"""What helps the author of a pack write it: a JSON Schema for editors, a starter for a shop."""
