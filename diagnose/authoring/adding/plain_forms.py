"""Answers that are read by themselves: words, numbers, yes and no, units and limits."""

from __future__ import annotations

import re
from typing import Any

from diagnose.authoring.adding.asking import SKIP, Asked, Asker, asking, states_form
from diagnose.authoring.adding.choosing import Choice
from diagnose.authoring.adding.questions import EntryQuestion
from rules.problems import BadInput
from rules.units.quantities import parse_quantity
from rules.units.unit_table import unit_spellings

_YES = {"y": True, "yes": True, "2": True, "n": False, "no": False, "1": False}
_YES_OR_NO = (Choice("n", "No"), Choice("y", "Yes"))
_RANGE = re.compile(r"\s*(.+?)\s*(?:\bto\b|–|\.\.)\s*(.+)\s*")


def text(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """Words of their own."""
    line = (yield asking(question, may_end=question.optional)).strip()
    if line:
        return line
    if question.optional:
        return SKIP
    raise BadInput("write something here")


def number(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """A number."""
    line = (yield asking(question)).strip().replace(",", ".")
    try:
        number = float(line)
    except ValueError:
        raise BadInput(f"{line!r} is not a number; write one such as 2 or 0.5") from None
    return int(number) if number.is_integer() else number


def flag(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """Yes or no."""
    line = (yield asking(question, _YES_OR_NO, detail="y or n", default="n")).strip().lower()
    if line and line not in _YES:
        raise BadInput(f"{line!r} is neither y nor n")
    said = _YES.get(line, False)
    return said if said or question.always else SKIP


def choice(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """One of a few."""
    choices = [Choice(name, text) for name, text in question.options.items()]
    return (yield from asker.picked(asking(question, choices)))


def lines(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """Lines of text until an empty one."""
    said: list[str] = []
    while True:
        line = (yield asking(question, so_far=said, may_end=len(said) >= question.least)).strip()
        if line:
            said.append(line)
        elif len(said) < question.least:
            raise BadInput("write at least one line")
        else:
            return said or SKIP


def labels(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """The answers of a check, the normal one first; No and Yes where none are given."""
    said: list[str] = []
    while True:
        enough = len(said) != 1
        default = "" if said else "No, Yes"
        prompt = asking(question, so_far=said, may_end=enough, default=default)
        line = (yield prompt).strip()
        if line:
            said.append(line)
        elif not enough:
            raise BadInput("give the other answer as well")
        else:
            return states_form(said) if said else SKIP


def unit(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """A unit of `units.yaml`."""
    units = {unit.printed: unit.kind for unit in unit_spellings().values() if unit.printed}
    choices = [Choice(name, f"{name}, {kind}") for name, kind in units.items()]
    return (yield from asker.picked(asking(question, choices)))


def limits(asker: Asker, question: EntryQuestion, body: dict[str, Any]) -> Asked:
    """The lowest and the highest reading."""
    line = yield asking(question)
    found = _RANGE.fullmatch(line)
    if found is None:
        raise BadInput("write the lowest and the highest, such as 0 to 200")
    ends = [parse_quantity(text, body["unit"]) for text in found.groups()]
    if ends[0].value >= ends[1].value:
        raise BadInput("the lowest comes first")
    return [str(end) for end in ends]
