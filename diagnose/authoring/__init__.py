"""For the author of a pack: what is doubtful in it, what it covers, how well it does, and all it
holds in words and as a graph."""
