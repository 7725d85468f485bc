"""What bikes and trainees may be called."""

from __future__ import annotations

from rules.problems import BadInput

LONGEST_NAME = 60


def good_name(name: str) -> str:
    """`name` with single spaces. Raises `BadInput` where it is too long or cannot be printed."""
    clean = " ".join(name.split())
    if not clean or len(clean) > LONGEST_NAME or not clean.isprintable():
        told = name[:LONGEST_NAME]
        raise BadInput(
            f"{told!r} is not a name; give 1 to {LONGEST_NAME} letters, all of them printable"
        )
    return clean
