"""A case that begins with the rider's words: what is sure in them becomes part of it."""

from __future__ import annotations

from dataclasses import replace
from itertools import takewhile

from diagnose.case.events import Answered, BadFact, Case, Complained, Event, Told
from diagnose.listening.heard import HeardComplaint, Story
from diagnose.listening.listen import Listener


def told_in(case: Case) -> str:
    """All that the rider said in a case, letter for letter; empty where nothing was kept."""
    return "\n\n".join(event.text for event in case.events if isinstance(event, Told))


def is_to_be_heard(case: Case) -> bool:
    """Whether a case has a story that nobody has listened to yet."""
    return any(isinstance(event, Told) and not event.heard for event in case.events)


def heard_case(listener: Listener, case: Case) -> tuple[Case, Story | None]:
    """`case` with what its story surely says, and the story; None where it has none that is still
    to be listened to.

    An answer or trait that the case has already stands against the story. Raises `BadFact` where
    the story leaves the case without a complaint.
    """
    if not is_to_be_heard(case):
        return case, None
    told = told_in(case)
    story = listener.listen(told)
    given = [event for event in case.events if isinstance(event, Complained)]
    answered = {e.observation for e in case.events if isinstance(e, Answered)}
    heard: list[Event] = [c.event for c in story.complaints if not _is_given(c, given)]
    heard += [f.event for f in story.facts if f.observation not in answered]
    said = [replace(e, heard=True) if isinstance(e, Told) else e for e in case.events]
    start = sum(1 for _ in takewhile(lambda e: isinstance(e, Told | Complained), case.events))
    events = (*said[:start], *heard, *said[start:])
    if not any(isinstance(event, Complained) for event in events):
        raise BadFact(_nothing_understood(listener, story))
    machine = {name: option for name, option, _ in story.machine} | dict(case.machine)
    return Case(machine, case.targets, events), story


def _is_given(heard: HeardComplaint, given: list[Complained]) -> bool:
    places = {event.place for event in given if event.complaint == heard.complaint}
    return bool(places) and (heard.place is None or heard.place in places or None in places)


def _nothing_understood(listener: Listener, story: Story) -> str:
    meant = [
        f"{listener.rules.complaints[q.id].title} ({q.id})"
        for q in story.questions
        if q.asks == "complaint"
    ]
    near = f" (did you mean {' or '.join(meant)}?)" if meant else ""
    return f"no complaint is understood in the story{near}; name it under `complaints`"
