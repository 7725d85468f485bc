"""What a terminal can show, and the log."""
