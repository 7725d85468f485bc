"""Where records are kept: opening, writing, backing up."""
