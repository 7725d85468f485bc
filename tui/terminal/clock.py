"""The one clock of the program."""

from __future__ import annotations

from datetime import UTC, date, datetime


def now() -> datetime:
    """The moment, aware."""
    return datetime.now(UTC)


def day_of(moment: datetime) -> date:
    """The day as the person sees it on the wall."""
    return moment.astimezone().date()


def today() -> date:
    """The day that it is."""
    return day_of(now())
