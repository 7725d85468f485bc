"""What the keys of the app do, a module for each part of the trade."""
