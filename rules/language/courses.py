"""What a course and an exam may say, as frozen models. What they refer to (worked cases, themes,
measures) is checked where they are loaded, in `diagnose.training`."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import AfterValidator, BeforeValidator, Field, StringConstraints, model_validator

from rules.language.schema import (
    Id,
    Ids,
    Line,
    Lines,
    Share,
    Source,
    Sourced,
    Sources,
    StrictModel,
    Text,
    as_tuple,
)

MOST_WORDS = 120
MOST_SEED = 2**31 - 1

Points = Annotated[float, Field(ge=0, le=100, strict=False)]
Seed = Annotated[int, Field(ge=0, le=MOST_SEED)]
CaseName = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9:-]*$", max_length=120)]


def _short(text: str) -> str:
    words = len(text.split())
    if words > MOST_WORDS:
        raise ValueError(f"{words} words; a unit's text has at most {MOST_WORDS}")
    return text


ShortText = Annotated[
    str,
    StringConstraints(min_length=1, max_length=1200, strip_whitespace=True),
    AfterValidator(_short),
]


class LessonEntry(StrictModel):
    """A worked case by name, or a case drawn by seed, level and theme.

    `title`, `teaches` and `customer` (the customer's own words) may replace those of a worked case.
    The title is read before the case is solved, so it must not give the answer away.
    """

    worked: Id | None = None
    seed: Seed | None = None
    level: Id | None = None
    theme: Id | None = None
    title: Line | None = None
    customer: Text | None = None
    teaches: Line | None = None

    @model_validator(mode="after")
    def _one_kind(self) -> Self:
        if (self.worked is None) == (self.seed is None):
            raise ValueError("give either `worked`, the name of a worked case, or `seed`")
        if self.worked is not None and (self.level or self.theme):
            raise ValueError("`level` and `theme` are for a case drawn by `seed`")
        if self.seed is not None and not (self.title and self.teaches):
            raise ValueError("a drawn case needs `title` and `teaches`")
        return self


class UnitEntry(Sourced):
    """Some lessons about one idea. The next unit opens when `lessons_needed` of them have been
    scored `score_needed` or more. `drills` names the measures it is about, `words` says what
    parts and terms mean, `drawn` which picture shows one of them, `at_the_bike` what a trainer has
    to see done at a real bike before signing it off."""

    title: Line
    text: ShortText
    drills: Ids = ()
    words: dict[Line, Line] = Field(default_factory=dict)
    drawn: dict[Line, Id] = Field(default_factory=dict)
    at_the_bike: Lines = ()
    score_needed: Points
    lessons_needed: Annotated[int, Field(ge=1, le=50)]
    lessons: Annotated[dict[Id, LessonEntry], Field(min_length=1, max_length=50)]

    @model_validator(mode="after")
    def _can_be_done(self) -> Self:
        if self.lessons_needed > len(self.lessons):
            raise ValueError(f"`lessons_needed` is more than its {len(self.lessons)} lessons")
        for word in self.drawn:
            if word not in self.words:
                raise ValueError(f"`drawn` has {word!r}, which is not among `words`")
        return self


class Repetition(Sourced):
    """When something learned is asked again: the share still known on the day it is due, the
    longest gap, and from how many points out of a hundred an answer was hard, good or easy. Fewer
    points than `hard_from` are a miss."""

    known_when_due: Annotated[float, Field(ge=0.7, le=0.97, strict=False)]
    longest_days: Annotated[int, Field(ge=1, le=3650)]
    hard_from: Points
    good_from: Points
    easy_from: Points

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.hard_from <= self.good_from <= self.easy_from:
            raise ValueError("`hard_from`, `good_from`, `easy_from` must not go down")
        return self


class Fading(Sourced):
    """How much of the first lessons of a unit a technician does, as shares of the advised steps,
    one a lesson: with `shown: [1, 0.75, 0.4]` the first customer is an example worked to its very
    end, and of the next two the last steps are left, the first correction always among them. In the
    first `feedback` lessons the program says after each step what it would have done."""

    shown: Annotated[tuple[Share, ...], BeforeValidator(as_tuple)]
    feedback: Annotated[int, Field(ge=0, le=50)] = 0


class Readiness(Sourced):
    """When a trainee counts as ready to work alone: the share of units done; over the last cases,
    the mean score and how many unsafe bikes were handed back; the exam, where there is one; and
    whether a trainer has signed every unit off at a real bike."""

    units_done: Share
    last_cases: Annotated[int, Field(ge=1, le=1000)]
    mean_score: Points
    unsafe_at_most: Annotated[int, Field(ge=0, le=1000)]
    exam_passed: bool
    signed_off: bool = False


class CourseFile(StrictModel):
    """The shape of `training/course.yaml`."""

    course: Literal[1]
    title: Line
    about: Text
    sources: dict[Id, Source] = Field(default_factory=dict)
    repetition: Repetition
    ready: Readiness
    fading: Fading | None = None
    units: Annotated[dict[Id, UnitEntry], Field(min_length=1, max_length=50)]


class ExamFile(StrictModel):
    """The shape of an exam: `cases` in order, by seed (`7`, `7:single`, `7:single:tyres`), by
    lesson, or worked (`worked:name`); or `draw`, the kinds of which each sitting draws its own
    (`single`, `any:tyres`, `any`). Without `pass_mark` a case's own pass mark counts; `wait_days`
    lie between two sittings."""

    exam: Literal[1]
    title: Line
    about: Text | None = None
    cases: Annotated[
        tuple[CaseName, ...], BeforeValidator(as_tuple), Field(min_length=1, max_length=50)
    ] = ()
    draw: Annotated[
        tuple[CaseName, ...], BeforeValidator(as_tuple), Field(min_length=1, max_length=50)
    ] = ()
    wait_days: Annotated[int, Field(ge=0, le=365)] = 0
    pass_mark: Points | None = None
    source: Sources | None = None

    @model_validator(mode="before")
    @classmethod
    def _seeds_as_text(cls, data: object) -> object:
        if isinstance(data, dict) and isinstance(data.get("cases"), list):
            cases = [str(case) if type(case) is int else case for case in data["cases"]]
            return {**data, "cases": cases}
        return data

    @model_validator(mode="after")
    def _checked(self) -> Self:
        if bool(self.cases) == bool(self.draw):
            raise ValueError("give either `cases` or `draw`, the kinds of cases to draw")
        if self.pass_mark is not None and self.source is None:
            raise ValueError("`pass_mark` needs a `source`")
        return self
