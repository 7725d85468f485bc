"""One end of the bike ridden over an obstacle, and one number for how harsh that feels."""
