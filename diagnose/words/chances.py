"""Probabilities as people say them."""

from __future__ import annotations


def percent(share: float) -> str:
    """`12 %`; never 0 or 100, since nothing is certain."""
    if share < 0.01:
        return "under 1 %"
    if share > 0.99:
        return "over 99 %"
    return f"{share * 100:.0f} %"
