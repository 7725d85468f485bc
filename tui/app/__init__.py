"""The app behind the screens."""
