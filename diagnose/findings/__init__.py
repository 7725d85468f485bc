"""From facts to findings: the rules at work."""
