"""Exams: fixed cases, no hints and no coach, the same for everybody who sits them."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from diagnose.training.course.course import COURSE_FILE, Teaching, load_teaching, training_folder
from diagnose.training.course.course_lessons import Lesson, lesson_scenario
from diagnose.training.customers.scenario import Scenario, scenario_named
from diagnose.training.records.attempts import AttemptRow
from diagnose.training.records.trainee_book import Sitting
from rules.given_paths import given_path
from rules.language.courses import ExamFile
from rules.loading.pack_files import TRAINING, files_beside
from rules.problems import BadInput, FileProblems, Problem
from rules.rulebase import RuleBase
from rules.yaml_source import read_yaml_file, suggest

EXAMS = "exams"


@dataclass(frozen=True, slots=True)
class Exam:
    """An exam, checked. `cases` are lesson or scenario ids; `name` is its file's."""

    name: str
    title: str
    about: str
    cases: tuple[str, ...]
    pass_mark: float


def load_exam(teaching: Teaching, path: Path) -> Exam:
    """An exam from a file; every case in it is made once to see that it can be.

    Raises `FileProblems` naming file, line and field.
    """
    course = teaching.course
    document = read_yaml_file(path)
    try:
        shape = ExamFile.model_validate(document.data)
    except ValidationError as error:
        raise FileProblems(document.from_validation(error)) from error
    problems = []
    cases: dict[str, None] = {}
    for number, case in enumerate(shape.cases):
        try:
            scenario, lesson = exam_case(teaching, case)
        except BadInput as error:
            problems.append(document.problem("case", ("cases", number), str(error)))
            continue
        name = lesson.id if lesson else scenario.id
        if name in cases:
            problems.append(
                document.problem("case", ("cases", number), f"{name!r} stands here already")
            )
        cases[name] = None
    for source in shape.source or ():
        if source not in course.sources:
            message = f"{source!r} is not a source{suggest(source, list(course.sources))}"
            problems.append(document.problem("reference", ("source",), message))
    if problems:
        raise FileProblems(problems)
    mark = teaching.guide.scoring.pass_mark if shape.pass_mark is None else shape.pass_mark
    return Exam(path.stem, shape.title, shape.about or "", tuple(cases), mark)


def exam_files(folders: Sequence[Path]) -> dict[str, Path]:
    """The exams of packs, by name; a pack's own stands for one of the same name below it."""
    found: dict[str, Path] = {}
    for folder in folders:
        found.update((p.stem, p) for p in files_beside(folder, TRAINING, EXAMS))
    return found


def find_exam(teaching: Teaching, name: str) -> Exam:
    """An exam of the packs by its name, or from the file of that name. Raises `BadInput`."""
    known = exam_files(teaching.folders)
    if name in known:
        return load_exam(teaching, known[name])
    if name.endswith((".yaml", ".yml")):
        return load_exam(teaching, given_path(name))
    listed = ", ".join(known) or "none in this rule base"
    raise BadInput(
        f"{name!r} is not an exam{suggest(name, list(known))}; there are: {listed}. A file of your "
        "own ends in .yaml"
    )


def check_teaching(rules: RuleBase, packs: Sequence[Path]) -> None:
    """The course and every exam of the topmost pack, where it has any. Raises `FileProblems`.

    A pack that only switches off what a course below needs is not to blame for that course.
    """
    folder = training_folder(rules, packs, COURSE_FILE)
    if not (folder / TRAINING / COURSE_FILE).is_file():
        return
    if packs and folder.resolve() != packs[-1].resolve():
        return
    teaching = load_teaching(rules, packs)
    problems: list[Problem] = []
    for path in exam_files(teaching.folders).values():
        try:
            load_exam(teaching, path)
        except FileProblems as error:
            problems += error.problems
    if problems:
        raise FileProblems(problems)


def exam_case(teaching: Teaching, name: str) -> tuple[Scenario, Lesson | None]:
    """The case that a line of an exam means, and the lesson where it is one. Raises `BadInput`."""
    rules, guide, course = teaching.rules, teaching.guide, teaching.course
    for lesson in course.lessons:
        if lesson.id == name:
            return lesson_scenario(rules, guide, lesson, course.worked), lesson
    try:
        return scenario_named(rules, guide, name, course.worked), None
    except BadInput as error:
        raise BadInput(f"{error}, or the id of a lesson") from error


def write_exam(title: str, cases: Sequence[str]) -> str:
    """A file for `load_exam`."""
    lines = ["exam: 1", f"title: {json.dumps(title, ensure_ascii=False)}", "cases:"]
    return "\n".join([*lines, *(f"  - {json.dumps(case)}" for case in cases)]) + "\n"


@dataclass(frozen=True, slots=True)
class SittingResult:
    """What a sitting came to. `scores` has None for a case not done; they count as nothing once
    the sitting has ended. `minutes` is time at the desk, `bench` minutes of work in the cases."""

    sitting: Sitting
    scores: tuple[float | None, ...]
    failed: int
    minutes: float
    bench: float

    @property
    def mean(self) -> float:
        """Mean score over all cases."""
        return sum(score or 0.0 for score in self.scores) / len(self.scores)

    @property
    def complete(self) -> bool:
        """Whether every case is done."""
        return None not in self.scores

    @property
    def passed(self) -> bool:
        """Whether it is over, the mean reached the pass mark, and no case was failed outright."""
        over = self.complete or self.sitting.ended is not None
        return over and not self.failed and self.mean >= self.sitting.begun.pass_mark


def sitting_result(sitting: Sitting, rows: Sequence[AttemptRow]) -> SittingResult:
    """A sitting with the attempts of the same trainee."""
    own = {row.lesson or row.scenario: row for row in rows if row.sitting == sitting.number}
    taken = [own.get(case) for case in sitting.begun.cases]
    done = [row.result for row in own.values() if row.result is not None]
    # a clock that was put back takes no time away
    seconds = sum(max((row.changed - row.began).total_seconds(), 0.0) for row in own.values())
    return SittingResult(
        sitting,
        tuple(None if row is None or row.result is None else row.result.total for row in taken),
        sum(bool(result.failed) for result in done),
        seconds / 60,
        sum(result.minutes for result in done),
    )
