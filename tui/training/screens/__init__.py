"""The screens of the training; each is handed what it shows and what may be done."""
