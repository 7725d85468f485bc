"""The rule base: its schema, its loader and the packs that ship with the program."""
