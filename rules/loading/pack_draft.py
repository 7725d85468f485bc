"""A pack and those below it while they are read, with where each entry was written."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from pydantic import BaseModel, TypeAdapter, ValidationError

from rules.language.schema import Id, PackInfo
from rules.language.sections import SINGLES, TABLES
from rules.problems import FileProblems, Problem
from rules.rulebase import SwitchedOff
from rules.written import Origin, Written
from rules.yaml_source import dotted, invalid_parts, suggest

MOST_PROBLEMS = 200
MOST_ENTRIES = 5_000
MOST_CAUSES = 2_000
_ID = TypeAdapter(Id)

Name = tuple[str, str]
"""(section, id) of an entry; the id is empty for a section that is one entry."""


def is_id(text: str) -> bool:
    """Whether `text` may be the id of an entry."""
    try:
        _ID.validate_python(text)
    except ValidationError:
        return False
    return True


@dataclass(slots=True)
class PackDraft:
    """Entries as plain data in `bodies` and as models in `tables` and `singles`.

    `levels` says which pack of the stack, counted from 0, an entry was first written in; `unsound`
    are the ids of entries whose shape is wrong, and which are therefore in no table.
    """

    packs: list[PackInfo] = field(default_factory=list)
    bodies: dict[Name, Any] = field(default_factory=dict)
    written: dict[Name, Written] = field(default_factory=dict)
    levels: dict[Name, int] = field(default_factory=dict)
    tables: dict[str, dict[str, Any]] = field(default_factory=lambda: {name: {} for name in TABLES})
    singles: dict[str, Any] = field(default_factory=dict)
    off: dict[Name, SwitchedOff] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    unsound: set[str] = field(default_factory=set)

    def note(self, problem: Problem) -> None:
        """Note a problem. Raises `FileProblems` as soon as there are `MOST_PROBLEMS`."""
        self.problems.append(problem)
        if len(self.problems) >= MOST_PROBLEMS:
            self.stop_on_problems()

    def stop_on_problems(self) -> None:
        """Raises `FileProblems` if any problem has been noted."""
        if self.problems:
            raise FileProblems(self.problems)

    def complain(
        self,
        section: str,
        key: str,
        path: tuple[str | int, ...],
        message: str,
        code: str = "reference",
    ) -> None:
        """Note a problem inside an entry, placed where the faulty part was written; one that only
        follows from a slip in another entry is left out."""
        if any(f"'{name}'" in message or f"'{name}/" in message for name in self.unsound):
            return
        at = self.written[(section, key)].to_blame(path)
        location = (section, key, *path) if key else (section, *path)
        self.note(problem_at(at, code, dotted(location), message))

    def add(self, name: Name, body: Any, written: Written) -> None:
        """Take in a new entry and check its shape. Raises `FileProblems` for too many entries."""
        most = MOST_CAUSES if name[0] == "causes" else MOST_ENTRIES
        if len(self.tables.get(name[0], ())) >= most or len(self.bodies) >= MOST_ENTRIES:
            message = f"over {most} entries, copies by for_each counted"
            raise FileProblems([problem_at(written.origin(), "too-large", "", message)])
        self.bodies[name] = body
        self.written[name] = written
        self.levels[name] = len(self.packs)
        self.check(name)

    def check(self, name: Name) -> None:
        """Build the entry's model from its plain data, or note what is wrong with its shape."""
        section, key = name
        model = TABLES.get(section) or SINGLES[section]
        try:
            made = model.model_validate(self.bodies[name])
        except ValidationError as error:
            self.unsound.add(key)
            for path, code, message in invalid_parts(error):
                hint = _field_hint(model, path) if code == "extra-forbidden" else ""
                self.complain(section, key, path, message + hint, code)
            return
        if key:
            self.tables[section][key] = made
        else:
            self.singles[section] = made

    def drop(self, name: Name, why: SwitchedOff) -> None:
        """Remove an entry that is switched off, keeping the reason in `off`."""
        self.off[name] = why
        del self.bodies[name], self.levels[name], self.tables[name[0]][name[1]]


def problem_at(origin: Origin, code: str, field: str, message: str) -> Problem:
    """A `Problem` at the place of `origin`."""
    return Problem(origin.file, origin.line, origin.column, code, field, message)


def _field_hint(model: type[BaseModel], path: tuple[str | int, ...]) -> str:
    if len(path) != 1:
        return ""
    known = [info.alias or name for name, info in model.model_fields.items()]
    return suggest(str(path[0]), known)
