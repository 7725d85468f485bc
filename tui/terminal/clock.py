"""The one clock of the program."""

from __future__ import annotations

from datetime import UTC, date, datetime


def now() -> datetime:
    """The current time, in UTC."""
    return datetime.now(UTC)


def day_of(moment: datetime) -> date:
    """The day of a moment in the local time zone."""
    return moment.astimezone().date()


def today() -> date:
    """The current day in the local time zone."""
    return day_of(now())
