"""Everything a trainee can do next, as rows to search: numbered, under headings."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import (
    Correct,
    HandBack,
    HandOver,
    Move,
    Observe,
    Recheck,
    RideMove,
    move_from_json,
    move_to_json,
)
from diagnose.training.words.encounter_words import AT_HOME, observation_sayings
from diagnose.words.answers import answer_text
from diagnose.words.titles import sentence
from tui.widgets.search_list import SearchRow

_TO_BE_SEEN = 10
_OF_EACH = {"question": 2, "end": 3}  # with one of each other sort, ten to be seen


@dataclass(frozen=True, slots=True)
class Sort:
    """A sort of move: its key, a short word for it, and what stands over its rows."""

    key: str
    word: str
    heading: str


SORTS: Mapping[str, Sort] = {
    "question": Sort("A", "Ask", "Ask the rider"),
    "history": Sort("W", "Change", "Ask what changed"),
    "inspection": Sort("L", "Look", "Look and feel on the bench"),
    "measurement": Sort("M", "Measure", "Measure"),
    "ride-test": Sort("T", "Test", "Ride and feel"),
    "cause": Sort("C", "Cause", "Name a cause and put it right"),
    "end": Sort("E", "End", "Prove it, or end the case"),
}


def value_of(move: Move) -> str:
    """A move as the value of a row."""
    return json.dumps(move_to_json(move))


def move_of_row(value: str) -> Move:
    """The move that a row stands for."""
    return move_from_json(json.loads(value))


def move_rows(encounter: Encounter, only: str = "", *, every: bool = False) -> list[SearchRow]:
    """A row for each move under its sort; a move keeps its number all through a case.

    Ten are to be seen, of one sort or some of each, before anything is searched for; `every` shows
    all of the sort.
    """
    found: list[SearchRow] = []
    number = 0
    for sort, entry in SORTS.items():
        rows = []
        for move, text, words in _moves(encounter, sort):
            number += 1
            if move is not None:
                look, is_figure = f"{number:>4}  {text}", _is_figure(encounter, move)
                row = SearchRow(
                    value_of(move), look, f"{text} {words}", str(number), behind=is_figure
                )
                rows.append((move, row))
        if not rows or only not in ("", sort):
            continue
        most = len(rows) if every else _TO_BE_SEEN if only else _OF_EACH.get(sort, 1)
        seen = {
            row.value for _, row in sorted(rows, key=lambda it: _later(encounter, it[0]))[:most]
        }
        found.append(SearchRow("", _heading(entry, len(seen), len(rows), only), entry.heading))
        found += [replace(row, aside=row.value not in seen) for _, row in rows]
    return found


def _is_figure(encounter: Encounter, move: Move) -> bool:
    """Whether it only looks a figure up, which whoever names the reading seldom means."""
    entries = encounter.assessor.rules.observations
    return isinstance(move, Observe) and entries[move.observation].enters is not None


def _heading(sort: Sort, seen: int, of: int, only: str) -> str:
    if seen == of:
        return sort.heading
    key = f"{sort.key} shows all" if only else f"{sort.key} shows more"
    return f"{sort.heading}: {seen} of {of}, {key}"


def _later(encounter: Encounter, move: Move) -> tuple[bool, bool]:
    """What sorts a move behind others: that it is known already, that it is of the other end."""
    if not isinstance(move, Observe):
        return False, False
    now = encounter.view().now
    place = encounter.assessor.rules.observations[move.observation].place
    felt = {complaint.place for complaint in now.complaints}
    return move.observation in now.answers, place is not None and place not in felt


def next_open(encounter: Encounter, values: Sequence[str], marked: str | None) -> str | None:
    """The row marked, or the first one after it that asks for what is not known yet.

    Pressing the same key twice then does not ask the same thing again.
    """
    known = encounter.view().now.answers
    if marked is None:
        return None
    after = values[values.index(marked) :] if marked in values else []
    for value in after:
        move = move_of_row(value)
        if not isinstance(move, Observe) or move.observation not in known:
            return value
    return marked


def cause_rows(encounter: Encounter) -> list[SearchRow]:
    """A row for each cause that this bike can have."""
    hidden = encounter.view().belief.findings.not_applicable
    return [
        SearchRow(name, f"  {cause.title}", f"{cause.title} {name} {cause.group}")
        for name, cause in encounter.assessor.rules.causes.items()
        if name not in hidden
    ]


def _moves(encounter: Encounter, sort: str) -> Iterator[tuple[Move | None, str, str]]:
    """(move, text, further words to find it by); the move is None where it is not for this bike."""
    rules, view = encounter.assessor.rules, encounter.view()
    hidden = view.belief.findings.not_applicable
    sayings = observation_sayings(rules)
    if sort == "cause":
        for name, cause in rules.causes.items():
            move = None if name in hidden else Correct(cause.correction, (name,))
            work = rules.corrections[cause.correction]
            elsewhere = "" if work.who == AT_HOME else " (a specialist's work)"
            yield move, f"{cause.title}{elsewhere}", f"{name} {work.title}"
    elif sort == "end":
        yield RideMove(), "Send it for a ride: how is the complaint now?", "prove confirm"
        yield HandOver(), "Hand it over undiagnosed, to a specialist; the case ends", "hand over"
        yield HandBack(), "Give it back to the customer as finished; the case ends", "close done"
        for item in view.belief.findings.contradictions:
            yield Recheck(item.rule), f"Check both again: {item.text}", "contradiction"
    else:
        for name, entry in rules.observations.items():
            if entry.kind == sort:
                known = view.now.answers.get(name)
                said = f"({answer_text(rules, known)}) " if known is not None else ""
                observed = None if name in hidden else Observe(name)
                yield observed, f"{said}{sentence(entry.ask)}", " ".join(sayings[name][1:])
