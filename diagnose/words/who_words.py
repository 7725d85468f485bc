"""Who may do a piece of work, in words that read right at home and in a workshop."""

from __future__ import annotations

from rules.language.schema import Correction

_NEEDS = {
    "home mechanic": "anyone with tools",
    "qualified technician": "a qualified technician",
}


def needs_text(work: Correction) -> str:
    """Who a piece of work needs: `anyone with tools` or `a qualified technician`."""
    return _NEEDS[work.who]


def limited_to(work: Correction) -> str:
    """Who alone may do a piece of work; empty where anyone with tools can."""
    return work.who if work.who == "qualified technician" else ""
