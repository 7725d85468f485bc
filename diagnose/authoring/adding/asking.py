"""What every form of answer asks with."""

from __future__ import annotations

import re
from collections.abc import Callable, Generator, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from diagnose.authoring.adding.choosing import Choice, Prompt, matching, pick
from diagnose.authoring.adding.entry_names import Names
from diagnose.authoring.adding.questions import EntryKind, EntryQuestion, entry_kinds
from rules.problems import BadInput
from rules.units.quantities import parse_threshold

NEW = "new"
SKIP = object()
"""What a field that is left out comes to."""
_COMPARED = {"above": "above", "over": "above", "below": "below", "under": "below",
             "at least": "at_least", "at most": "at_most"}  # fmt: skip

Asked = Generator[Prompt, str, Any]
"""Asks, is sent lines, and returns what they come to. Raises `BadInput` for a line that will not
do."""


@dataclass(frozen=True, slots=True)
class Asker:
    """`names` are what can be named; `make` asks for a whole entry of a kind on the way and returns
    its id; `field` asks for one field."""

    names: Names
    make: Callable[[EntryKind], Asked]
    field: Callable[[EntryKind, EntryQuestion, dict[str, Any]], Asked]

    def picked(self, prompt: Prompt) -> Asked:
        """The name of the choice that is picked; None where the list ends."""
        line = yield prompt
        if not line.strip() and prompt.may_end and not prompt.default:
            return None
        return self.pick(prompt, line)

    def named(self, prompt: Prompt) -> Asked:
        """The id of an entry that is there or is made now; None where the list ends."""
        line = yield prompt
        if prompt.new and line.strip().lower() == NEW:
            return (yield from self.make(entry_kinds()[prompt.new]))
        if not line.strip() and prompt.may_end and not prompt.default:
            return None
        return self.pick(prompt, line)

    def pick(self, prompt: Prompt, line: str) -> str:
        """The name that a line means. Raises `BadInput`, also for the name of something else."""
        try:
            return pick(prompt, line)
        except BadInput:
            if line.strip() and not matching(prompt, line):
                wrong = self.names.misplaced(line, prompt.sections)
                if wrong:
                    raise BadInput(wrong) from None
            raise


def asking(
    question: EntryQuestion,
    choices: Iterable[Choice] = (),
    *,
    sections: Sequence[str] = (),
    so_far: Sequence[str] = (),
    may_end: bool = False,
    detail: str = "",
    new: str = "",
    default: str = "",
    denies: bool = False,
) -> Prompt:
    """The prompt of a question; what is said here goes into it as it stands."""
    return Prompt(
        question.ask, question.such_as, detail, tuple(choices), tuple(so_far), may_end, new,
        default, tuple(sections or question.sections), denies,
    )  # fmt: skip


def compared(line: str, unit: str) -> tuple[str, str]:
    """(comparison, limit as written) from `above 120 mm`. Raises `BadInput`."""
    text = " ".join(line.lower().replace(">", "above ").replace("<", "below ").split())
    for words, name in _COMPARED.items():
        if text.startswith(f"{words} "):
            limit = " ".join(line.replace(">", "above ").replace("<", "below ").split())
            limit = limit[len(words) :].strip()
            if re.fullmatch(r"[-+]?[0-9]+([.,][0-9]+)?", limit):
                limit = f"{limit.replace(',', '.')} {unit}"
            parse_threshold(limit, unit)
            return name, limit
    raise BadInput(f"write above or below and a figure, such as: above 120 {unit}")


def states_form(labels: Sequence[str]) -> dict[str, str]:
    """An id for each label, in order."""
    made: dict[str, str] = {}
    for label in labels:
        stem = "-".join(re.findall(r"[a-z0-9]+", label.lower())[:4]) or "state"
        name, number = stem, 1
        while name in made:
            number += 1
            name = f"{stem}-{number}"
        made[name] = label
    return made
