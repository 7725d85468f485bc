"""Moments as aware UTC, written so that text order is time order in every database."""

from __future__ import annotations

from collections.abc import Callable
from datetime import MAXYEAR, MINYEAR, UTC, date, datetime

from diagnose.records.store.store_problems import DamagedStore
from rules.problems import BadInput

Clock = Callable[[], datetime]

_FORMAT = "%Y-%m-%dT%H:%M:%S.%fZ"


def written(moment: datetime) -> str:
    """`2026-11-25T10:28:46.000000Z`. `moment` must be aware."""
    if moment.tzinfo is None:
        raise ValueError("a moment without a time zone")
    return moment.astimezone(UTC).strftime(_FORMAT)


def read_moment(text: str) -> datetime:
    """What `written` wrote. Raises `DamagedStore`."""
    try:
        moment = datetime.strptime(text, _FORMAT).replace(tzinfo=UTC)
    except (TypeError, ValueError):
        moment = None
    # in the first and last year a moment has no date in some time zones
    if moment is None or not MINYEAR < moment.year < MAXYEAR:
        raise DamagedStore(f"the store has {text!r} where a moment belongs")
    return moment


def read_date(text: str, today: date) -> date:
    """`2026-11-25`, not after today. Raises `BadInput`."""
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        raise BadInput(f"{text!r} is not a date; write it like {today.isoformat()}") from None
    if day > today:
        raise BadInput(f"{day.isoformat()} has not come yet; today is {today.isoformat()}")
    return day
