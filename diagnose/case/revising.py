"""Change or strike out something said earlier in a case; everything said since stands."""

from __future__ import annotations

from diagnose.case.events import Answered, Case, Event


def with_event_at(case: Case, index: int, event: Event) -> Case:
    """`case` with `event` in place of the event at `index`. Raises `IndexError`."""
    _check(case, index)
    events = (*case.events[:index], event, *case.events[index + 1 :])
    return Case(case.machine, case.targets, events)


def without_event_at(case: Case, index: int) -> Case:
    """`case` without the event at `index`. Raises `IndexError`."""
    _check(case, index)
    return Case(case.machine, case.targets, case.events[:index] + case.events[index + 1 :])


def latest_answer(case: Case, observation: str) -> int | None:
    """The index of the latest answer to `observation`, or None."""
    for index in reversed(range(len(case.events))):
        event = case.events[index]
        if isinstance(event, Answered) and event.observation == observation:
            return index
    return None


def _check(case: Case, index: int) -> None:
    if not 0 <= index < len(case.events):
        raise IndexError(f"the case has {len(case.events)} events; there is no event {index}")
