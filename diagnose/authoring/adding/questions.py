"""The questions that make an entry of a pack, by kind of entry; they stand in `questions.yaml`."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from rules.yaml_source import read_yaml_file

_FILE = Path(__file__).with_suffix(".yaml")


@dataclass(frozen=True, slots=True)
class EntryQuestion:
    """One field of an entry: how its answer is read (`form`), what is asked, and what may be given.

    `sections` are those whose entries can be named, `new` the kind that may be made on the way,
    `top` that it is asked only where the entry is not made on the way itself.
    """

    field: str
    form: str
    ask: str = ""
    such_as: str = ""
    note: str = ""
    sections: tuple[str, ...] = ()
    new: str = ""
    options: Mapping[str, str] = dataclasses.field(default_factory=dict)
    least: int = 0
    fixed: Any = None
    optional: bool = False
    always: bool = False
    top: bool = False
    only_if: Mapping[str, str] = dataclasses.field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class EntryKind:
    """A kind of entry that can be added. `section` is empty for what is no entry of a section."""

    name: str
    title: str
    section: str
    named_by: str
    questions: tuple[EntryQuestion, ...]

    @property
    def notes(self) -> dict[str, str]:
        """The comment beside each field."""
        return {question.field: question.note for question in self.questions if question.note}


@cache
def entry_kinds() -> Mapping[str, EntryKind]:
    """Every kind that can be added, by name."""
    return {
        name: EntryKind(
            name, kind["title"], kind["section"], kind["named_by"],
            tuple(_question(entry) for entry in kind["questions"]),
        )
        for name, kind in read_yaml_file(_FILE).data.items()
    }  # fmt: skip


def _question(entry: Mapping[str, Any]) -> EntryQuestion:
    names = {"as": "form", "of": "sections", "is": "fixed"}
    given = {names.get(name, name): value for name, value in entry.items()}
    given["sections"] = tuple(given.get("sections", ()))
    return EntryQuestion(**given)
