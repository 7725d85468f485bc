"""One screen a module, its styles beside it. Screens show and ask; nothing is worked out here."""
