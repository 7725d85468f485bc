"""The exit statuses of the program; `badride help exit` tells of them."""

UNSOUND = 1
BAD_INPUT = 2
BROKE = 70  # EX_SOFTWARE of sysexits.h
INTERRUPTED = 130
