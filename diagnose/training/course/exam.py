"""Exams: no hints and no coach; cases fixed, or drawn for each sitting by a secret of the shop."""

from __future__ import annotations

import hmac
import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from diagnose.training.course.course import COURSE_FILE, Teaching, load_teaching, training_folder
from diagnose.training.course.course_lessons import Lesson, lesson_scenario
from diagnose.training.customers.scenario import (
    WORKED,
    Level,
    Scenario,
    draw_scenario,
    level_named,
    scenario_named,
)
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.judging import Judge
from diagnose.training.records.attempts import AttemptRow
from diagnose.training.records.trainee_book import Sitting
from diagnose.training.scoring.points import score
from rules.given_paths import given_path
from rules.language.courses import MOST_SEED, ExamFile
from rules.loading.pack_files import TRAINING, files_beside
from rules.problems import BadInput, FileProblems, Problem
from rules.rulebase import RuleBase
from rules.yaml_source import read_yaml_file, suggest

EXAMS = "exams"
LEAST_ADVISED, FEWEST_STEPS, MOST_STEPS = 85.0, 4, 30
"""A drawn exam case is one on which doing as advised scores so much, in so many steps (our own
choice)."""
_MOST_DRAWS = 8


@dataclass(frozen=True, slots=True)
class Exam:
    """An exam, checked. `cases` are lesson or scenario ids, or empty where each sitting draws its
    own of the kinds `draw` (a level and a theme each); `name` is its file's."""

    name: str
    title: str
    about: str
    cases: tuple[str, ...]
    pass_mark: float
    draw: tuple[tuple[Level | None, str | None], ...] = ()
    wait_days: int = 0

    @property
    def count(self) -> int:
        """How many cases a sitting has."""
        return len(self.cases) or len(self.draw)


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
    kinds: list[tuple[Level | None, str | None]] = []
    for number, kind in enumerate(shape.draw):
        try:
            kinds.append(_kind(teaching, kind))
        except BadInput as error:
            problems.append(document.problem("case", ("draw", number), str(error)))
    for number, case in enumerate(shape.cases):
        if case.removeprefix(f"{WORKED}:") in teaching.left_out:
            continue
        try:
            scenario, lesson = exam_case(teaching, case)
            if lesson is None and scenario.seed > MOST_SEED:
                raise BadInput(f"a seed is at most {MOST_SEED}; those above are drawn for sittings")
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
    about = shape.about or ""
    return Exam(path.stem, shape.title, about, tuple(cases), mark, tuple(kinds), shape.wait_days)


def _kind(teaching: Teaching, text: str) -> tuple[Level | None, str | None]:
    """`single`, `any:tyres` or `any` as a level and a theme. Raises `BadInput`."""
    first, _, theme = text.partition(":")
    level = None if first == "any" else level_named(first)
    if theme and teaching.rules.off and theme not in teaching.guide.themes:
        theme = ""  # nothing of the theme is left
    draw_scenario(teaching.rules, teaching.guide, 0, level, theme or None)
    return level, theme or None


def draw_sitting(judge: Judge, exam: Exam, secret: str, who: str) -> tuple[list[str], float]:
    """The cases that a sitting draws, and what doing as advised scores on them in the mean.

    `secret` and `who` decide which. Cases too easy or too hard even so are drawn again, and no two
    have the same truth. Their seeds are above those that can be practised.
    """
    cases: list[str] = []
    totals: list[float] = []
    truths: set[frozenset[str]] = set()
    for number, (level, theme) in enumerate(exam.draw):
        tried: list[tuple[bool, float, str, frozenset[str]]] = []
        for draw in range(_MOST_DRAWS):
            text = f"{who}:{number}:{draw}".encode()
            digest = hmac.digest(secret.encode(), text, "sha256")
            seed = MOST_SEED + 1 + int.from_bytes(digest[:6], "big")
            scenario = draw_scenario(judge.assessor.rules, judge.guide, seed, level, theme)
            encounter = Encounter(judge.assessor, judge.guide, scenario, judge=judge)
            encounter.go_on_as_advised(MOST_STEPS)
            total = score(encounter).total
            alike = encounter.finished and total >= LEAST_ADVISED
            alike = alike and len(encounter.steps) >= FEWEST_STEPS
            truth = frozenset(scenario.truth.causes)
            tried.append((alike and truth not in truths, total, scenario.id, truth))
            if tried[-1][0]:
                break
        _, total, case, truth = max(tried, key=lambda one: (one[0], one[1], one[2]))
        cases.append(case)
        totals.append(total)
        truths.add(truth)
    return cases, sum(totals) / len(totals)


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


def highest_mark(teaching: Teaching) -> float:
    """The most that an exam of the packs asks for; a case's own mark where there is none. Raises
    `FileProblems`."""
    marks = [load_exam(teaching, path).pass_mark for path in exam_files(teaching.folders).values()]
    return max(marks, default=teaching.guide.scoring.pass_mark)


def check_teaching(rules: RuleBase, packs: Sequence[Path]) -> Teaching | None:
    """The course and every exam, where the top pack has any or switches something off. Raises
    `FileProblems`."""
    folder = training_folder(rules, packs, COURSE_FILE)
    if not (folder / TRAINING / COURSE_FILE).is_file():
        return None
    if packs and folder.resolve() != packs[-1].resolve() and not rules.off:
        return None
    teaching = load_teaching(rules, packs)
    problems: list[Problem] = []
    for path in exam_files(teaching.folders).values():
        try:
            load_exam(teaching, path)
        except FileProblems as error:
            problems += error.problems
    if problems:
        raise FileProblems(problems)
    return teaching


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
