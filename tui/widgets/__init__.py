"""Reusable pieces of the screens. They are handed what to show and say what was pressed."""
