"""Readings that work brings to a figure: which they are, what was found, and what was set."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.case.events import Answered, Case, Corrected
from diagnose.case.figures import figure_of
from rules.language.schema import Observation
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity


@dataclass(frozen=True, slots=True)
class SetFigure:
    """A reading before some work and the first one after it; None where it was not taken."""

    observation: str
    found: Quantity | None
    set_to: Quantity | None


def figures_set_by(rules: RuleBase, correction: str) -> tuple[str, ...]:
    """The readings that show what the correction puts right and that can be off to both sides: it
    brings them to their figure. What only wears or ages is renewed, not set."""
    causes = {key for key, cause in rules.causes.items() if cause.correction == correction}
    return tuple(
        name
        for name, entry in rules.observations.items()
        if entry.target is not None and is_two_sided(entry) and causes & set(entry.settles)
    )


def is_two_sided(entry: Observation) -> bool:
    """Whether a reading can be too high and too low: its figure is then what to set it to, else a
    limit of wear, play or age."""
    return len({band.above is None for band in entry.bands}) > 1


def figures_to_ask(rules: RuleBase, case: Case, correction: str) -> tuple[str, ...]:
    """The readings to ask for once the correction is done: those that were read before it, else the
    first that it sets."""
    names = figures_set_by(rules, correction)
    read = {
        event.observation
        for event in case.events
        if isinstance(event, Answered) and event.reading is not None
    }
    return tuple(name for name in names if name in read) or names[:1]


def figures_to_find(rules: RuleBase, case: Case, correction: str) -> tuple[str, ...]:
    """The readings to ask for before the correction is recorded, so that what was found is known:
    those that it sets and that nobody was asked for since they were last set."""
    asked = {event.observation for event in case.events if isinstance(event, Answered)}
    return tuple(
        name
        for name in figures_to_ask(rules, case, correction)
        if name not in asked or not still_stands(rules, case, name)
    )


def figure_to_set(rules: RuleBase, case: Case, observation: str) -> Quantity | None:
    """What a reading is to be set to, in the unit it was last read in; None where no figure may be
    taken for the bike's."""
    target = rules.observations[observation].target
    if target is None:
        return None
    figure = figure_of(rules, case, target)
    found = last_reading(case, observation)
    if found is None:
        is_known = figure.is_own or (figure.says_anything and figure.usual is None)
        return figure.value if is_known else None
    return figure.value.read_in(found.unit) if figure.judges(found) else None


def last_reading(case: Case, observation: str) -> Quantity | None:
    """The latest reading of an observation, whatever was done since."""
    return next(iter(readings(case, observation)[-1:]), None)


def found_and_set(rules: RuleBase, case: Case, correction: str) -> tuple[SetFigure, ...]:
    """What was read before the correction was last done and after it, for each reading that it
    sets; a reading that was never taken is left out."""
    at = _last_done(case, correction)
    if at is None:
        return ()
    made = []
    for name in figures_set_by(rules, correction):
        before = _readings(case.events[:at], name)
        after = _readings(case.events[at:], name)
        if before or after:
            made.append(SetFigure(name, next(iter(before[-1:]), None), next(iter(after), None)))
    return tuple(made)


def not_what_was_set(rules: RuleBase, case: Case, correction: str) -> set[str]:
    """The causes that a correction cannot have put right, since it moved a reading further to the
    side that they put it on: what was let down from 25 psi to 13 was not too low."""
    found = set[str]()
    for one in found_and_set(rules, case, correction):
        if one.found is None or one.set_to is None:
            continue
        moved = one.set_to.read_in(one.found.unit).value - one.found.value
        sides = _sides(rules.observations[one.observation])
        found.update(cause for cause, side in sides.items() if side * moved > 0)
    return found


def opposite_of(rules: RuleBase, cause: str) -> frozenset[str]:
    """The causes with the same correction that put a reading off to the other side."""
    correction = rules.causes[cause].correction
    found = set[str]()
    for name in figures_set_by(rules, correction):
        sides = _sides(rules.observations[name])
        found.update(other for other, side in sides.items() if side * sides.get(cause, 0) < 0)
    return frozenset(one for one in found if rules.causes[one].correction == correction)


def _sides(entry: Observation) -> dict[str, int]:
    """To which side each cause that a reading settles puts it."""
    return {cause: _side(entry, states) for cause, states in entry.settles.items()}


def _side(entry: Observation, states: Iterable[str]) -> int:
    """1 where these states are of readings that are too high, -1 too low, 0 both."""
    sides = {1 if band.above is not None else -1 for band in entry.bands if band.state in states}
    return sides.pop() if len(sides) == 1 else 0


def still_stands(rules: RuleBase, case: Case, observation: str) -> bool:
    """Whether nothing done since the latest answer has set what it reads."""
    for event in reversed(case.events):
        if isinstance(event, Answered) and event.observation == observation:
            return True
        if isinstance(event, Corrected) and observation in figures_set_by(rules, event.correction):
            return False
    return True


def just_set(rules: RuleBase, case: Case) -> bool:
    """Whether the latest event is the first reading of what work has just set: it says what that
    was set to, and nothing about what was wrong."""
    last = case.events[-1] if case.events else None
    if not isinstance(last, Answered) or last.reading is None:
        return False
    before = Case(events=case.events[:-1])
    is_set = not still_stands(rules, before, last.observation)
    return is_set and readings_since_set(rules, before, last.observation) == 0


def readings_since_set(rules: RuleBase, case: Case, observation: str) -> int:
    """How many readings of an observation were taken since something last set what it reads."""
    many = 0
    for event in case.events:
        if isinstance(event, Corrected) and observation in figures_set_by(rules, event.correction):
            many = 0
        elif isinstance(event, Answered) and event.observation == observation:
            many += event.reading is not None
    return many


def _last_done(case: Case, correction: str) -> int | None:
    places = [n for n, event in enumerate(case.events) if event == Corrected(correction)]
    return places[-1] if places else None


def readings(case: Case, observation: str) -> list[Quantity]:
    """Every reading of an observation, oldest first."""
    return _readings(case.events, observation)


def _readings(events: tuple[object, ...], observation: str) -> list[Quantity]:
    return [
        event.reading
        for event in events
        if isinstance(event, Answered)
        and event.observation == observation
        and event.reading is not None
    ]
