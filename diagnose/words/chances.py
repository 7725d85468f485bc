"""Figures as people say them: chances, minutes, days, counts."""

from __future__ import annotations

_IN_WORDS = (
    (0.95, "almost certain"),
    (0.8, "very likely"),
    (0.6, "likely"),
    (0.4, "as likely as not"),
)
"""Where each word begins (our own choice)."""


def percent(share: float) -> str:
    """`12 %`; never 0 or 100, since nothing is certain."""
    if share < 0.01:
        return "under 1 %"
    if share > 0.99:
        return "over 99 %"
    return f"{share * 100:.0f} %"


def how_likely(share: float) -> str:
    """A chance for somebody who is not to reckon with it: `likely`, `about 1 in 4`."""
    for least, word in _IN_WORDS:
        if share >= least:
            return word
    return "less than 1 in 20" if share < 0.05 else f"about 1 in {round(1 / share)}"


def change_mark(by: float) -> str:
    """`up 12` or `down 3` in points of a hundred; empty where nobody would notice."""
    points = round(by * 100)
    if points == 0:
        return ""
    return f"up {points}" if points > 0 else f"down {-points}"


def duration(minutes: float) -> str:
    """`30 seconds`, `1 minute`, `12 minutes`: to the second where it is less than a minute."""
    if minutes < 1:
        return f"{minutes * 60:.0f} seconds"
    return f"{minutes:g} minute{'' if minutes == 1 else 's'}"


def about_minutes(minutes: float) -> str:
    """How long something takes, as people say it: `about 3 min`, `under a minute`."""
    return "under a minute" if minutes < 1 else f"about {minutes:g} min"


def counted(number: int, one: str) -> str:
    """`1 case`, `3 cases`: a number of things whose name takes an s."""
    return f"{number} {one}{'' if number == 1 else 's'}"


def ago(days: int) -> str:
    """`3 days ago`, `5 weeks ago`: how old something is, as people say it."""
    if days <= 0:
        return "today"
    if days == 1:
        return "yesterday"
    for unit, length in (("year", 365), ("month", 30), ("week", 7)):
        if days >= 2 * length:
            return f"{days // length} {unit}s ago"
    return f"{days} days ago"
