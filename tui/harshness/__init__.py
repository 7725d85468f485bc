"""The sheet of the harshness screen and what it says."""
