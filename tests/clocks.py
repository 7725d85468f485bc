"""Clocks that tests give to a store."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

TODAY = date(2026, 5, 20)


class Standing:
    """A clock that stands at noon of `TODAY` until a test sets it."""

    def __init__(self) -> None:
        self.moment = datetime(TODAY.year, TODAY.month, TODAY.day, 12, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.moment


class Ticking:
    """A clock that goes on a minute whenever it is looked at, and days when told to."""

    def __init__(self) -> None:
        self.moment = datetime(2026, 5, 1, 8, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.moment += timedelta(minutes=1)
        return self.moment

    def sleep(self, days: float) -> None:
        """Move the clock on by so many days; a negative number sets it back."""
        self.moment += timedelta(days=days)
