"""What bikes and trainees may be called."""

from __future__ import annotations

from rules.problems import BadInput

LONGEST_NAME = 60
_JOINER = "\u200d"


def good_name(name: str) -> str:
    """`name` with single spaces. Raises `BadInput` where it is too long or cannot be printed."""
    clean = " ".join(name.split())
    told = name[:LONGEST_NAME]
    unseen = next((letter for letter in clean if not letter.isprintable()), "")
    if unseen:
        what = "; it joins several pictures into one" if unseen == _JOINER else ""
        raise BadInput(
            f"{told!r} is not a name: it holds U+{ord(unseen):04X}, which cannot be seen{what}; "
            "leave that out"
        )
    if not clean or len(clean) > LONGEST_NAME:
        raise BadInput(f"{told!r} is not a name; give 1 to {LONGEST_NAME} letters")
    return clean
