"""Case files: the facts of a bad ride in YAML, for headless runs and as a pack's worked cases."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Annotated, Literal, Self, TypeVar

from pydantic import BeforeValidator, Field, ValidationError, model_validator

from diagnose.case.events import (
    BadFact,
    Case,
    Corrected,
    Event,
    Noted,
    RideReport,
    Rode,
    Told,
    read_answer,
    read_complaint,
    read_person,
    read_target,
    read_trait,
)
from rules.language.schema import Id, Line, NodeId, Sources, StrictModel, Text, as_text, as_tuple
from rules.loading.pack_files import files_beside
from rules.problems import BadInput, Collected, FileProblems, Problem
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity
from rules.yaml_source import MAX_TEXT, Location, YamlText, read_yaml_bytes, read_yaml_file, suggest

Shape = TypeVar("Shape", bound="CaseFile")
T = TypeVar("T")

MOST_ROWS = 100
"""Corrections one after another in a case file; each is weighed with all the others and without."""
MOST_COMPLAINTS = 100
"""Complaints of one case file; a rider has a few."""

Word = Annotated[str, BeforeValidator(as_text)]
"""A word or a number, kept as text."""


def _by_complaint(ride: object) -> object:
    """A word for a ride stands for the first complaint that is still felt."""
    return {"": ride} if isinstance(ride, str) else ride


class Afterwards(StrictModel):
    """One correction, how the ride after it went, and what was found after it. `ride` is one word
    about the first complaint that is still felt, or a word for each complaint."""

    correction: Id
    ride: Annotated[dict[Word, RideReport], BeforeValidator(_by_complaint)] = Field(
        default_factory=dict
    )
    answers: dict[Id, Word] = Field(default_factory=dict)


class CaseFile(StrictModel):
    """The shape of a case file. `story` is the rider's own words, beside complaints or alone; where
    it was `heard`, what it came to stands in the file and it is not listened to again. `person` is
    who asks."""

    case: Literal[1]
    title: Line | None = None
    machine: dict[Id, Word] = Field(default_factory=dict)
    targets: dict[Id, Word] = Field(default_factory=dict)
    complaints: Annotated[
        tuple[NodeId, ...], BeforeValidator(as_tuple), Field(max_length=MOST_COMPLAINTS)
    ] = ()
    story: Annotated[str, Field(max_length=MAX_TEXT)] | None = None
    heard: bool = False
    person: Id | None = None
    answers: dict[Id, Word] = Field(default_factory=dict)
    afterwards: Annotated[
        tuple[Afterwards, ...], BeforeValidator(as_tuple), Field(max_length=MOST_ROWS)
    ] = ()
    note: Text | None = None

    @model_validator(mode="after")
    def _complains(self) -> Self:
        if not self.complaints and not (self.story or "").strip():
            raise ValueError("give `complaints`, such as [harsh/front], or the rider's `story`")
        if self.heard and not (self.complaints and self.story):
            raise ValueError("`heard` is for a `story` beside the `complaints` it came to")
        return self

    @property
    def told(self) -> str | None:
        """The rider's words that the case begins with."""
        return self.story


class WorkedCaseFile(CaseFile):
    """The shape of a worked case: a story of a bad ride with its true causes. Strengths may be
    tuned to one of the `set` tuning; one set aside only judges them. One that is not `invented`
    happened, and names nobody."""

    title: Line
    set: Literal["tuning", "aside"] = "tuning"
    invented: bool
    story: Annotated[str, Field(min_length=1, max_length=1500)]
    truth: Annotated[tuple[Id, ...], BeforeValidator(as_tuple), Field(min_length=1, max_length=5)]
    teaches: Line
    source: Sources
    complaints: Annotated[tuple[NodeId, ...], BeforeValidator(as_tuple), Field(min_length=1)]

    @property
    def told(self) -> None:
        """Nothing: the story of a worked case is told as its complaints and answers already."""
        return


@dataclass(frozen=True, slots=True)
class WorkedCase:
    """A worked case ready to run; `truth` holds cause ids. One set `aside` is not for tuning."""

    name: str
    title: str
    aside: bool
    story: str
    case: Case
    truth: tuple[str, ...]
    teaches: str
    source: tuple[str, ...]


def load_case(rules: RuleBase, path: Path) -> Case:
    """Read a case file. Raises `FileProblems` naming file, line and field."""
    document = read_yaml_file(path)
    return case_of(rules, document, shape_of(document, CaseFile))


def case_from_bytes(rules: RuleBase, raw: bytes, name: str) -> Case:
    """Read a case file from bytes, called `name` in messages. Raises `FileProblems`."""
    document = read_yaml_bytes(raw, name)
    return case_of(rules, document, shape_of(document, CaseFile))


OffName = tuple[str, str]
"""(section, id) of an entry that is switched off."""


def load_worked_cases(rules: RuleBase, folder: Path) -> list[WorkedCase]:
    """The worked cases in `folder` of a pack, by name, save those that name what is switched off.
    Raises `FileProblems`, all files at once."""
    return sort_worked_cases(rules, folder)[0]


def sort_worked_cases(rules: RuleBase, folder: Path) -> tuple[list[WorkedCase], dict[str, OffName]]:
    """The worked cases in `folder` of a pack by name, and of those left out what each names that is
    switched off. Raises `FileProblems`, all files at once."""
    cases: list[WorkedCase] = []
    left_out: dict[str, OffName] = {}
    problems: list[Problem] = []
    for path in files_beside(folder.parent, folder.name):
        try:
            document = _document(path)
            shape = shape_of(document, WorkedCaseFile)
            off = next((name for name in _named(shape) if name in rules.off), None)
            if off is not None:
                left_out[path.stem] = off
                continue
            cases.append(_worked_case(rules, path.stem, document, shape))
        except FileProblems as error:
            problems += error.problems
    if problems:
        raise FileProblems(problems)
    return cases, left_out


def _named(shape: WorkedCaseFile) -> Iterator[OffName]:
    """Every entry of a rule base that a worked case names."""
    yield from (("complaints", text.partition("/")[0]) for text in shape.complaints)
    yield from (("observations", name) for name in shape.answers)
    yield from (("causes", cause) for cause in shape.truth)
    for later in shape.afterwards:
        yield ("corrections", later.correction)
        yield from (("observations", name) for name in later.answers)


def _document(path: Path) -> YamlText:
    return read_yaml_file(path, f"{path.parent.name}/{path.name}")


def load_worked_case(rules: RuleBase, path: Path) -> WorkedCase:
    """One worked case. Raises `FileProblems`."""
    document = _document(path)
    return _worked_case(rules, path.stem, document, shape_of(document, WorkedCaseFile))


def _worked_case(
    rules: RuleBase, name: str, document: YamlText, shape: WorkedCaseFile
) -> WorkedCase:
    case = case_of(rules, document, shape)
    if problems := list(truth_problems(rules, document, shape.truth, shape.source)):
        raise FileProblems(problems)
    return WorkedCase(
        name,
        shape.title,
        shape.set == "aside",
        shape.story.strip(),
        case,
        shape.truth,
        shape.teaches,
        shape.source,
    )


def shape_of(document: YamlText, model: type[Shape]) -> Shape:
    """The document as `model`. Raises `FileProblems`."""
    try:
        return model.model_validate(document.data)
    except ValidationError as error:
        raise FileProblems(document.from_validation(error)) from error


def truth_problems(
    rules: RuleBase, document: YamlText, truth: Sequence[str], sources: Sequence[str]
) -> Iterator[Problem]:
    """Causes of `truth` and sources that the rule base does not know."""
    for number, cause in enumerate(truth):
        if cause not in rules.causes:
            hint = suggest(cause, list(rules.causes))
            message = f"{cause!r} is not a cause{hint}"
            yield document.problem("reference", ("truth", number), message)
    for number, source in enumerate(sources):
        if source not in rules.sources:
            message = f"{source!r} is not a source"
            yield document.problem("reference", ("source", number), message)


def case_of(rules: RuleBase, document: YamlText, shape: CaseFile) -> Case:
    """The case that a file of this shape tells. Raises `FileProblems`."""
    problems = Collected()

    def each(location: Location, read: Callable[[], T]) -> Iterator[T]:
        """What `read` gives; notes a problem and gives nothing when it raises `BadInput`."""
        try:
            yield read()
        except BadInput as error:
            problems.append(document.problem("fact", location, str(error)))

    def answers(location: Location, given: Mapping[str, str]) -> Iterator[Event]:
        for name, text in given.items():
            yield from each((*location, name), partial(read_answer, rules, name, text))

    machine: dict[str, str] = {}
    targets: dict[str, Quantity] = {}
    events: list[Event] = []
    for trait, option in shape.machine.items():
        machine.update(each(("machine", trait), partial(read_trait, rules, trait, option)))
    for spec, text in shape.targets.items():
        targets.update(each(("targets", spec), partial(read_target, rules, spec, text)))
    if shape.person is not None:
        events += each(("person",), partial(read_person, rules, shape.person))
    if shape.told is not None:
        events.append(Told(shape.told, shape.heard))
    for number, complaint in enumerate(shape.complaints):
        events += each(("complaints", number), partial(read_complaint, rules, complaint))
    events += answers(("answers",), shape.answers)
    for number, later in enumerate(shape.afterwards):
        location: Location = ("afterwards", number)
        events += each((*location, "correction"), partial(_correction, rules, later.correction))
        for about, report in later.ride.items():
            where = (*location, "ride", about)
            events += each(where, partial(_ridden, rules, shape.complaints, about, report))
        events += answers((*location, "answers"), later.answers)
    if shape.note:
        events.append(Noted(shape.note))
    if problems:
        raise FileProblems(problems)
    return Case(machine, targets, tuple(events))


def _ridden(rules: RuleBase, complaints: Sequence[str], name: str, report: RideReport) -> Rode:
    if not name:
        return Rode(report)
    if name not in complaints:
        given = ", ".join(complaints)
        raise BadFact(f"{name!r} is not a complaint of this case; one of {given}")
    return Rode(report, read_complaint(rules, name).key)


def _correction(rules: RuleBase, name: str) -> Corrected:
    if name not in rules.corrections:
        raise BadFact(f"{name!r} is not a correction{suggest(name, list(rules.corrections))}")
    return Corrected(name)
