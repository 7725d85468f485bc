"""A pack's course: units in order, each with a short text and lessons."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from pydantic import ValidationError

from diagnose.case.files import OffName, WorkedCase, sort_worked_cases
from diagnose.training.course.course_lessons import Lesson
from diagnose.training.customers.guide import GUIDE_FILE, MEASURES, Guide, load_guide
from diagnose.training.customers.scenario import LEVELS, WORKED, level_named, scenario_id
from rules.language.courses import CourseFile, Fading, LessonEntry, Readiness, Repetition, UnitEntry
from rules.language.schema import Source, Sourced
from rules.loading.pack_files import OFFROAD, TRAINING, WORKED_CASES
from rules.problems import BadInput, FileProblems, Problem
from rules.rulebase import RuleBase
from rules.yaml_source import Location, YamlText, read_yaml_file, suggest

COURSE_FILE = "course.yaml"


@dataclass(frozen=True, slots=True)
class CourseUnit:
    """A unit of a course. `drills` are ids of measures; see `rules.language.courses.UnitEntry`."""

    id: str
    title: str
    text: str
    drills: tuple[str, ...]
    score_needed: float
    lessons_needed: int
    lessons: tuple[Lesson, ...]
    at_the_bike: tuple[str, ...]
    words: Mapping[str, str]
    drawn: Mapping[str, str]
    source: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Course:
    """A pack's course, checked. `worked` are the worked cases its lessons are made of."""

    title: str
    about: str
    units: tuple[CourseUnit, ...]
    repetition: Repetition
    ready: Readiness
    sources: Mapping[str, Source]
    worked: tuple[WorkedCase, ...]
    fading: Fading | None = None

    @property
    def lessons(self) -> tuple[Lesson, ...]:
        """All lessons in order."""
        return tuple(lesson for unit in self.units for lesson in unit.lessons)

    def lesson(self, name: str) -> Lesson:
        """A lesson by its id. Raises `BadInput`."""
        for lesson in self.lessons:
            if lesson.id == name:
                return lesson
        known = [lesson.id for lesson in self.lessons]
        raise BadInput(
            f"{name!r} is not a lesson{suggest(name, known)}; there are {', '.join(known)}"
        )

    def begins_at(self, lesson: Lesson) -> tuple[float, bool]:
        """The share of the advised steps that a technician does in a lesson played for the first
        time, and whether the program says after each step what it would have done. Of an example
        all are shown, and it is not played."""
        if self.fading is None:
            return 0.0, False
        at = [known.id for known in self.unit(lesson.unit).lessons].index(lesson.id)
        shown = self.fading.shown[at] if at < len(self.fading.shown) else 0.0
        return shown, at < self.fading.feedback

    def is_example(self, lesson: Lesson) -> bool:
        """Whether the lesson's own customer is worked by a technician to the very end. Played, the
        lesson comes with another."""
        return self.begins_at(lesson)[0] >= 1

    def unit(self, name: str) -> CourseUnit:
        """A unit by its id, or by its number from 1. Raises `BadInput`."""
        for number, unit in enumerate(self.units, 1):
            if name in (unit.id, str(number)):
                return unit
        known = [unit.id for unit in self.units]
        raise BadInput(
            f"{name!r} is not a unit{suggest(name, known)}; there are {', '.join(known)}"
        )


@dataclass(frozen=True, slots=True)
class Teaching:
    """Everything a stack of packs says about training. `folders` are theirs, from the bottom up.

    `left_out` names each worked case and lesson that needs what is switched off, with what it is.
    """

    rules: RuleBase
    guide: Guide
    course: Course
    folders: tuple[Path, ...]
    left_out: Mapping[str, OffName] = field(default_factory=dict)


def load_teaching(rules: RuleBase, packs: Sequence[Path]) -> Teaching:
    """Guide and course, each of the topmost pack that has one; the worked cases of all packs.

    `packs` are the folders that `rules` was loaded from. Raises `FileProblems`.
    """
    folders = _folders(rules, packs)
    guide = load_guide(rules, training_folder(rules, packs, GUIDE_FILE))
    worked: dict[str, WorkedCase] = {}
    left_out: dict[str, OffName] = {}
    for folder in folders:
        cases, off = sort_worked_cases(rules, folder / WORKED_CASES)
        worked.update((case.name, case) for case in cases)
        left_out.update(off)
    course, lessons = load_course(
        rules,
        guide,
        training_folder(rules, packs, COURSE_FILE),
        tuple(worked.values()),
        left_out,
    )
    return Teaching(rules, guide, course, folders, {**left_out, **lessons})


def training_folder(rules: RuleBase, packs: Sequence[Path], name: str) -> Path:
    """The topmost pack's folder that has the training file `name`; else the topmost of all."""
    folders = _folders(rules, packs)
    having = [folder for folder in folders if (folder / TRAINING / name).exists()]
    return (having or folders)[-1]


def _folders(rules: RuleBase, packs: Sequence[Path]) -> tuple[Path, ...]:
    """The packs' folders from the bottom up, with the one that was put under them."""
    given = tuple(packs) or (OFFROAD,)
    return (OFFROAD, *given) if len(rules.packs) > len(given) else given


def load_course(
    rules: RuleBase,
    guide: Guide,
    pack: Path,
    worked: Sequence[WorkedCase],
    left_out: Mapping[str, OffName],
) -> tuple[Course, dict[str, OffName]]:
    """The course of the pack in folder `pack`, and the lessons of it that need what is switched
    off, such as worked cases that are `left_out`. Raises `FileProblems` with all that is wrong."""
    path = pack / TRAINING / COURSE_FILE
    name = f"{pack.name}/{TRAINING}/{COURSE_FILE}"
    if not path.is_file():
        raise FileProblems([Problem(name, 1, 1, "missing", "", "this rule base has no course")])
    document = read_yaml_file(path, name)
    try:
        shape = CourseFile.model_validate(document.data)
    except ValidationError as error:
        raise FileProblems(document.from_validation(error)) from error
    shape, lost = _without(rules, guide, shape, left_out)
    known = {case.name: case for case in worked}
    sources = {**guide.sources, **shape.sources}
    problems = list(_problems(rules, guide, document, shape, known, sources))
    if problems:
        raise FileProblems(problems)
    units = tuple(_unit(key, entry, known) for key, entry in shape.units.items())
    course = Course(
        shape.title,
        shape.about,
        units,
        shape.repetition,
        shape.ready,
        sources,
        tuple(worked),
        shape.fading,
    )
    return course, lost


def _without(
    rules: RuleBase, guide: Guide, shape: CourseFile, left_out: Mapping[str, OffName]
) -> tuple[CourseFile, dict[str, OffName]]:
    """The course without lessons that need what is switched off, and units that lose them all."""
    lost: dict[str, OffName] = {}
    units: dict[str, UnitEntry] = {}
    gone = next(iter(rules.off), None)
    for key, unit in shape.units.items():
        kept = {}
        for name, lesson in unit.lessons.items():
            why = left_out.get(lesson.worked or "")
            if lesson.theme is not None and lesson.theme not in guide.themes:
                why = gone
            if why is None:
                kept[name] = lesson
            else:
                lost[name] = why
        if kept:
            needed = min(unit.lessons_needed, len(kept))
            drawn = {w: p for w, p in unit.drawn.items() if ("pictures", p) not in rules.off}
            units[key] = unit.model_copy(
                update={"lessons": kept, "lessons_needed": needed, "drawn": drawn}
            )
    return shape.model_copy(update={"units": units}), lost


def _unit(key: str, entry: UnitEntry, worked: Mapping[str, WorkedCase]) -> CourseUnit:
    lessons = tuple(_lesson(key, name, item, worked) for name, item in entry.lessons.items())
    return CourseUnit(
        key,
        entry.title,
        entry.text,
        entry.drills,
        entry.score_needed,
        entry.lessons_needed,
        lessons,
        entry.at_the_bike,
        entry.words,
        entry.drawn,
        entry.source,
    )


def _lesson(unit: str, key: str, entry: LessonEntry, worked: Mapping[str, WorkedCase]) -> Lesson:
    if entry.worked is not None:
        case = worked[entry.worked]
        name = f"{WORKED}:{entry.worked}"
        title, teaches = entry.title or case.title, entry.teaches or case.teaches
    else:
        assert entry.seed is not None and entry.title and entry.teaches
        name = scenario_id(entry.seed, level_named(entry.level or ""), entry.theme)
        title, teaches = entry.title, entry.teaches
    return Lesson(key, unit, title, teaches, name, entry.customer or "")


def _problems(
    rules: RuleBase,
    guide: Guide,
    document: YamlText,
    shape: CourseFile,
    worked: Mapping[str, WorkedCase],
    sources: Mapping[str, Source],
) -> Iterator[Problem]:
    def unknown(
        location: Location, name: str | None, known: Sequence[str], what: str
    ) -> Iterator[Problem]:
        if name is not None and name not in known:
            hint = suggest(name, known)
            yield document.problem("reference", location, f"{name!r} is not a {what}{hint}")

    sourced: list[tuple[Location, Sourced]] = [
        (("repetition",), shape.repetition),
        (("ready",), shape.ready),
        *([(("fading",), shape.fading)] if shape.fading else []),
        *((("units", key), unit) for key, unit in shape.units.items()),
    ]
    for location, item in sourced:
        for source in item.source:
            yield from unknown((*location, "source"), source, list(sources), "source")
    seen: dict[str, str] = {}
    for unit_id, unit in shape.units.items():
        for measure in unit.drills:
            yield from unknown(("units", unit_id, "drills"), measure, MEASURES, "measure")
        for word, picture in unit.drawn.items():
            at_word: Location = ("units", unit_id, "drawn", word)
            yield from unknown(at_word, picture, list(rules.pictures), "picture")
        for key, lesson in unit.lessons.items():
            at: Location = ("units", unit_id, "lessons", key)
            if key in seen:
                message = f"unit {seen[key]!r} has a lesson {key!r} already"
                yield document.problem("duplicate-id", at, message)
            seen[key] = unit_id
            yield from unknown((*at, "worked"), lesson.worked, list(worked), "worked case")
            yield from unknown((*at, "level"), lesson.level, LEVELS, "level")
            yield from unknown((*at, "theme"), lesson.theme, list(guide.themes), "theme")
