"""One module per family of commands. They import what they need only when run: the first question
must come at once."""
