"""Lessons, with the case each gives and what it teaches; and a trainer's own case from a file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from diagnose.case.events import Complained, machine_traits
from diagnose.case.files import CaseFile, WorkedCase, case_of, shape_of, truth_problems
from diagnose.inference.evidence import nodes_of
from diagnose.simulation.chance import Dice
from diagnose.simulation.simulated_bike import applies
from diagnose.training.customers.guide import Guide
from diagnose.training.customers.scenario import (
    WORKED,
    Scenario,
    like_id,
    scenario_id,
    scenario_named,
    worked_scenario,
)
from rules.language.courses import MOST_SEED
from rules.language.schema import Id, Line, Sources, Text, as_tuple
from rules.problems import BadInput, FileProblems, Problem
from rules.rulebase import RuleBase
from rules.yaml_source import YamlText, read_yaml_file

# customers drawn until one is another than those before
_MOST_DRAWS = 40

OWN = "own"
"""Scenarios from a trainer's file are called `own:` and the file's name."""


@dataclass(frozen=True, slots=True)
class Lesson:
    """A case with a teaching point, in a unit of a course. `scenario` is the case's id; `words`
    are the customer's own, where the lesson has them. `teaches` is for afterwards."""

    id: str
    unit: str
    title: str
    teaches: str
    scenario: str
    words: str = ""


def lesson_scenario(
    rules: RuleBase, guide: Guide, lesson: Lesson, worked: Sequence[WorkedCase]
) -> Scenario:
    """The case of a lesson. Raises `BadInput`."""
    found = scenario_named(rules, guide, lesson.scenario, worked)
    return replace(found, title=lesson.title, teaches=lesson.teaches)


def another_customer(
    rules: RuleBase,
    guide: Guide,
    lesson: Lesson,
    worked: Sequence[WorkedCase],
    who: int,
    before: Sequence[frozenset[str]],
) -> Lesson:
    """A lesson with a customer that trainee number `who` has not had in it: of the same level and
    theme, or with the same complaint and as many causes, and none of the truths of `before`.

    Raises `BadInput` where the lesson's own case cannot be made.
    """
    own = lesson_scenario(rules, guide, lesson, worked)
    seen = {frozenset(own.truth.causes), *before}
    dice = Dice(who, "another customer", lesson.id, str(len(before)))
    like = (own.complaints[0].key, len(own.truth.causes))
    for _ in range(_MOST_DRAWS):
        seed = int(dice.unit() * MOST_SEED)
        if lesson.scenario.startswith(WORKED):
            name = like_id(*like, seed)
        else:
            name = scenario_id(seed, own.level, own.theme)
        try:
            drawn = scenario_named(rules, guide, name, worked)
        except BadInput:  # no bike with the usual traits makes this complaint alone
            return lesson
        if frozenset(drawn.truth.causes) not in seen:
            break
    # the lesson's own title may be what its own customer complains of
    title = f"Another customer, for the lesson {lesson.title!r}"
    return replace(lesson, title=title, scenario=name, words="", teaches="")


class TrainerCaseFile(CaseFile):
    """A case as a trainer writes it: a worked case, with the customer's own words where they like.

    What a pack's worked cases say about themselves (`set`, `invented`, `source`) may be there.
    """

    title: Line
    story: Annotated[str, Field(min_length=1, max_length=1500)]
    truth: Annotated[tuple[Id, ...], BeforeValidator(as_tuple), Field(min_length=1, max_length=3)]
    teaches: Line
    customer: Text | None = None
    set: Literal["tuning", "aside"] | None = None
    invented: bool | None = None
    source: Sources | None = None


def load_trainer_case(rules: RuleBase, guide: Guide, path: Path) -> tuple[Scenario, str]:
    """A trainer's case and the customer's words in it ("" for none).

    Raises `FileProblems` naming file, line and field.
    """
    document = read_yaml_file(path)
    shape = shape_of(document, TrainerCaseFile)
    problems = list(truth_problems(rules, document, shape.truth, shape.source or ()))
    if problems:
        raise FileProblems(problems)
    case = case_of(rules, document, shape)
    told = [event for event in case.events if isinstance(event, Complained)]
    traits = machine_traits(rules, case)
    able = []
    for number, cause in enumerate(shape.truth):
        if applies(rules.causes[cause], traits):
            able.append(cause)
            continue
        message = f"this bike cannot have {cause!r}; it needs {_needs(rules, cause)}"
        problems.append(document.problem("truth", ("truth", number), message))
    problems += _unexplained(rules, document, able, told)
    if problems:
        raise FileProblems(problems)
    worked = WorkedCase(
        path.stem, shape.title, False, shape.story.strip(), case, shape.truth, shape.teaches, ()
    )
    scenario = worked_scenario(rules, guide, worked)
    return replace(scenario, id=f"{OWN}:{path.name}"), shape.customer or ""


def _unexplained(
    rules: RuleBase, document: YamlText, able: Sequence[str], told: Sequence[Complained]
) -> Iterator[Problem]:
    """Complaints that no true cause makes, so that nothing could ever cure them."""
    links = {(link.cause, link.node) for link in rules.links}
    for number, complained in enumerate(told):
        nodes = nodes_of(rules, complained)
        if able and not any((cause, node) in links for cause in able for node in nodes):
            names = ", ".join(repr(cause) for cause in able)
            message = f"{complained.key!r} is not made by {names}, so nothing could cure it"
            yield document.problem("truth", ("complaints", number), message)


def _needs(rules: RuleBase, cause: str) -> str:
    needs = rules.causes[cause].needs
    return "; ".join(f"{trait}: {' or '.join(options)}" for trait, options in needs.items())
