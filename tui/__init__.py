"""What a person meets: the command line, the plain interview and the screens."""
