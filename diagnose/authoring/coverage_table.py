"""A table of symptoms and their causes, as a shop types it in.

table: 1
title: Our own list
source: the wall of the workshop
rows:
  - symptom: beats me up             # an id, a title or a rider's words that the pack knows
    cause: front-tyre-pressure-high  # an id or a title
  - symptom: rear too soft, rides low
    complaints: [squatting, wallowing]  # where the pack does not know the words; any of them
    cause: weak spring
    causes: [rear-spring-too-soft]
  - symptom: play found on the stand
    found: {front-wheel-rock: clicks}   # something seen or measured instead of a complaint
    cause: Worn wheel bearing
  - symptom: engine cuts out
    cause: flat battery
    left_out: not what the pack is about
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, ValidationError, model_validator

from diagnose.case.events import Event, read_answer, read_complaint
from diagnose.case.files import Word
from rules.language.schema import Id, Line, NodeId, StrictModel, as_tuple
from rules.problems import BadInput, FileProblems, Problem
from rules.rulebase import RuleBase, complaint_nodes
from rules.yaml_source import Location, YamlText, read_yaml_file, suggest


class RowFile(StrictModel):
    """One symptom and one of its causes."""

    symptom: Line
    cause: Line
    complaints: Annotated[tuple[NodeId, ...], BeforeValidator(as_tuple)] = ()
    found: dict[Id, Word] = Field(default_factory=dict)
    causes: Annotated[tuple[Id, ...], BeforeValidator(as_tuple)] = ()
    left_out: Line | None = None

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if self.complaints and self.found:
            raise ValueError("give `complaints` or `found`, not both")
        return self


class TableFile(StrictModel):
    """The shape of a table."""

    table: Literal[1]
    title: Line
    source: Line
    rows: Annotated[tuple[RowFile, ...], BeforeValidator(as_tuple), Field(min_length=1)]


@dataclass(frozen=True, slots=True)
class SymptomRow:
    """A row ready to be looked up.

    `tellings` are the ways the symptom can be told, each some events; `causes` the pack's causes it
    may mean. Where one of them is empty, `missing` says what is not known. `left_out` is the reason
    why a row is not meant to be covered.
    """

    file: str
    line: int
    symptom: str
    cause: str
    tellings: tuple[tuple[Event, ...], ...]
    causes: tuple[str, ...]
    missing: tuple[str, ...] = ()
    left_out: str = ""


@dataclass(frozen=True, slots=True)
class SymptomTable:
    """A table ready to be looked up."""

    title: str
    source: str
    rows: tuple[SymptomRow, ...]


def load_table(rules: RuleBase, path: Path) -> SymptomTable:
    """Read a table. Words the pack does not know are noted in the rows; ids it does not know, and
    answers that do not fit, are mistakes. Raises `FileProblems`."""
    document = read_yaml_file(path)
    try:
        shape = TableFile.model_validate(document.data)
    except ValidationError as error:
        raise FileProblems(document.from_validation(error)) from error
    reader = _Reader(rules, document)
    rows = tuple(reader.row(number, row) for number, row in enumerate(shape.rows))
    if reader.problems:
        raise FileProblems(reader.problems)
    return SymptomTable(shape.title, shape.source, rows)


class _Reader:
    """Reads rows and collects what is wrong with them."""

    def __init__(self, rules: RuleBase, document: YamlText) -> None:
        self._rules = rules
        self._document = document
        self._symptoms = symptom_words(rules)
        self._causes = cause_words(rules)
        self.problems: list[Problem] = []

    def row(self, number: int, body: RowFile) -> SymptomRow:
        """The row of an entry, with what the pack does not know noted in it."""
        where: Location = ("rows", number)
        missing: list[str] = []
        wanted = body.left_out is None
        tellings = self._tellings(where, body, missing) if wanted else ()
        causes = self._named(where, body, missing) if wanted else ()
        line = self._document.place(where)[0]
        return SymptomRow(
            self._document.file,
            line,
            body.symptom,
            body.cause,
            tellings,
            causes,
            tuple(missing),
            body.left_out or "",
        )

    def _tellings(
        self, where: Location, body: RowFile, missing: list[str]
    ) -> tuple[tuple[Event, ...], ...]:
        if body.found:
            events = [
                event
                for name, text in body.found.items()
                for event in self._read(
                    (*where, "found", name), partial(read_answer, self._rules, name, text)
                )
            ]
            return (tuple(events),)
        if body.complaints:
            return tuple(
                (event,)
                for number, name in enumerate(body.complaints)
                for event in self._read(
                    (*where, "complaints", number), partial(read_complaint, self._rules, name)
                )
            )
        known = self._symptoms.get(_plain(body.symptom))
        if known is None:
            hint = suggest(_plain(body.symptom), list(self._symptoms))
            missing.append(f"symptom {body.symptom!r} is not known{hint}")
            return ()
        return ((read_complaint(self._rules, known),),)

    def _named(self, where: Location, body: RowFile, missing: list[str]) -> tuple[str, ...]:
        for number, name in enumerate(body.causes):
            if name not in self._rules.causes:
                hint = suggest(name, list(self._rules.causes))
                message = f"{name!r} is not a cause{hint}"
                place = (*where, "causes", number)
                self.problems.append(self._document.problem("reference", place, message))
        if body.causes:
            return body.causes
        known = self._causes.get(_plain(body.cause))
        if known is None:
            hint = suggest(_plain(body.cause), list(self._causes))
            missing.append(f"cause {body.cause!r} is not known{hint}")
            return ()
        return (known,)

    def _read(self, where: Location, read: Any) -> Iterator[Event]:
        try:
            yield read()
        except BadInput as error:
            self.problems.append(self._document.problem("fact", where, str(error)))


def symptom_words(rules: RuleBase) -> dict[str, str]:
    """Everything a complaint may be called -> its id, with the place where one is said."""
    words: dict[str, str] = {}
    for key, entry in rules.complaints.items():
        for saying in (key, entry.title, *entry.said):
            words.setdefault(_plain(saying), key)
        for node in complaint_nodes(key, entry):
            words.setdefault(_plain(node), node)
            words.setdefault(_plain(rules.nodes[node].title), node)
    return words


def cause_words(rules: RuleBase) -> dict[str, str]:
    """Everything a cause may be called -> its id."""
    words: dict[str, str] = {}
    for key, entry in rules.causes.items():
        words.setdefault(_plain(key), key)
        words.setdefault(_plain(entry.title), key)
    return words


def _plain(words: str) -> str:
    return " ".join(words.casefold().split())
