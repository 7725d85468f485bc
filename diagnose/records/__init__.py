"""What lasts: bikes, cases and what became of them, in a store that several terminals may share."""
