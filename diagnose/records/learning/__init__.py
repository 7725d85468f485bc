"""What the shop's proven cases teach."""
