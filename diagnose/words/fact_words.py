"""What is said of a fact that was volunteered: heard, perhaps meant, or not understood."""

from __future__ import annotations

from diagnose.listening.volunteered import FactsNear

ALL_HEARD = "All that was heard"
NOT_UNDERSTOOD = "Not understood; try other words."
CHOOSE = "Nothing is taken yet: choose a row, or type other words."


def meant_heading(near: FactsNear) -> str:
    """What stands above the questions that may be meant."""
    return "Or did you mean:" if near.heard else "Nothing heard for sure; did you mean:"
