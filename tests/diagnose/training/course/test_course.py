"""Courses: what one may say, and the one that ships."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.training.course.course import Teaching, load_teaching
from diagnose.training.course.course_lessons import lesson_scenario
from diagnose.training.customers.guide import MEASURES
from diagnose.training.customers.scenario import LEVELS
from diagnose.training.habits.trainees import Advised, Likeliest, work
from diagnose.training.play.encounter import Encounter
from diagnose.training.scoring.points import score
from rules.loading.loader import load_pack
from rules.loading.pack_files import OFFROAD
from rules.problems import BadInput, FileProblems
from rules.rulebase import RuleBase
from tests.places import MOWER


@pytest.fixture(scope="module")
def shipped(offroad: RuleBase) -> Teaching:
    return load_teaching(offroad, ())


Edit = Callable[[str, str], Path]


@pytest.fixture
def edit(tmp_path: Path) -> Edit:
    """A copy of the mower pack with one piece of its course replaced."""

    def edited(old: str, new: str) -> Path:
        folder = tmp_path / "mower"
        shutil.copytree(MOWER, folder, dirs_exist_ok=True)
        path = folder / "training" / "course.yaml"
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), encoding="utf-8")
        return folder

    return edited


def test_the_shipped_course_covers_every_idea_with_lessons_that_teach(shipped: Teaching) -> None:
    course = shipped.course
    assert [unit.id for unit in course.units] == [
        "parts-and-words", "symptom", "what-changed", "outside-first", "cheap-first", "one-change",
        "prove-it", "cautions", "half-split", "tyre-or-damping", "two-causes", "misleading", "not-the-suspension",
    ]  # fmt: skip
    worked = [lesson for lesson in course.lessons if lesson.scenario.startswith("worked:")]
    assert len({lesson.scenario for lesson in worked}) >= 25
    assert all(lesson.teaches and lesson.words for lesson in worked)
    assert {"Free leg", "Preload", "Rebound", "Sag", "Rake", "Trail"} <= set(course.units[0].words)
    assert {measure for unit in course.units for measure in unit.drills} == set(MEASURES)
    assert all(unit.source for unit in course.units)


def test_what_a_lesson_is_called_does_not_give_its_case_away(shipped: Teaching) -> None:
    titles = {cause.title.casefold() for cause in shipped.rules.causes.values()}
    names = {case.name for case in shipped.course.worked}
    for lesson in shipped.course.lessons:
        assert lesson.id not in names
        assert not any(title in lesson.title.casefold() for title in titles)
        assert lesson.teaches not in (lesson.title, lesson.words)


def test_drawn_lessons_are_of_the_level_and_theme_they_name(shipped: Teaching) -> None:
    drawn = [le for le in shipped.course.lessons if not le.scenario.startswith("worked:")]
    assert {le.scenario.split(":")[1] for le in drawn if ":" in le.scenario} - {""} <= set(LEVELS)
    for lesson in drawn:
        made = lesson_scenario(shipped.rules, shipped.guide, lesson, ())
        assert (made.id, made.title, made.teaches) == (
            lesson.scenario,
            lesson.title,
            lesson.teaches,
        )


def _solved(shipped: Teaching, assessor: Assessor, name: str) -> None:
    lesson = shipped.course.lesson(name)
    made = lesson_scenario(shipped.rules, shipped.guide, lesson, shipped.course.worked)
    result = score(work(Encounter(assessor, shipped.guide, made), Advised()))
    unit = shipped.course.unit(lesson.unit)
    assert result.passed and result.total >= unit.score_needed, (name, result.total)


@pytest.mark.parametrize("name", ["what-changed-4", "cautions-2", "misleading-3"])
def test_a_lesson_can_be_solved_by_doing_what_is_advised(
    shipped: Teaching, offroad_assessor: Assessor, name: str
) -> None:
    _solved(shipped, offroad_assessor, name)


@pytest.mark.long
def test_every_lesson_can_be_solved_by_doing_what_is_advised(
    shipped: Teaching, offroad_assessor: Assessor
) -> None:
    for lesson in shipped.course.lessons:
        _solved(shipped, offroad_assessor, lesson.id)


@pytest.mark.long
def test_where_halving_is_taught_going_after_the_favourite_fails(
    shipped: Teaching, offroad_assessor: Assessor
) -> None:
    """Its customers have many suspects of which none leads, and a look that parts them."""
    for lesson in shipped.course.unit("half-split").lessons:
        made = lesson_scenario(shipped.rules, shipped.guide, lesson, shipped.course.worked)
        begun = Encounter(offroad_assessor, shipped.guide, made)
        first = begun.view().option(begun.view().advice.step.target)
        assert begun.view().likeliest < 0.3, lesson.id
        assert first is not None and first.changes_first > 0.5, lesson.id
        halved = score(work(begun, Advised())).total
        favourite = score(work(Encounter(offroad_assessor, shipped.guide, made), Likeliest())).total
        assert halved > 95 and favourite < 70, (lesson.id, halved, favourite)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("seed: 4, theme: fuel,", "worked: nothing-like-it,", "18:16: error[reference] at units.look.lessons.dead-1.worked: 'nothing-like-it' is not a worked case"),
        ("seed: 4, theme: fuel", "seed: 4, theme: fuell", "did you mean 'fuel'?"),
        ("seed: 3,", "seed: 3, level: singel,", "at units.ride.lessons.any-1.level: 'singel' is not a level; did you mean 'single'?"),
        ("seed: 3,", "seed: 3, worked: both,", "give either `worked`, the name of a worked case, or `seed`"),
        ("seed: 3,", "seed: -3,", "at units.ride.lessons.any-1.seed"),
        ("title: Whatever comes in, ", "", "a drawn case needs `title` and `teaches`"),
        ("any-1:", "dead-1:", "error[duplicate-id] at units.ride.lessons.dead-1: unit 'look' has a lesson 'dead-1' already"),
        ("drills: [proven]", "drills: [luck]", "'luck' is not a measure"),
        ("source: made-up", "source: hearsay", "at units.ride.source: 'hearsay' is not a source"),
        ("lessons_needed: 1", "lessons_needed: 3", "`lessons_needed` is more than its 2 lessons"),
        ("score_needed: 70", "score_needed: 170", "at units.look.score_needed"),
        ("The tank is the cheapest thing to look at.", "word " * 121, "121 words; a unit's text has at most 120"),
        ("good_from: 80", "good_from: 60", "must not go down"),
        ("course: 1", "course: 2", "course.yaml:2:1: error[literal-error] at course"),
        ("last_cases: 3", "last_cases: three", "at ready.last_cases"),
        ("title: Mowers from the outside in", "", "error[missing] at title: this key is required"),
    ],
)  # fmt: skip
def test_a_course_with_a_mistake_is_refused_naming_file_line_and_field(
    edit: Edit, old: str, new: str, said: str
) -> None:
    folder = edit(old, new)
    with pytest.raises(FileProblems) as caught:
        load_teaching(load_pack(folder), (folder,))
    assert "mower/training/course.yaml:" in str(caught.value)
    assert said in str(caught.value)


def test_a_pack_without_a_course_says_so(tmp_path: Path) -> None:
    folder = tmp_path / "mower"
    shutil.copytree(MOWER, folder)
    (folder / "training" / "course.yaml").unlink()
    with pytest.raises(FileProblems, match="this rule base has no course"):
        load_teaching(load_pack(folder), (folder,))


def test_a_pack_on_another_may_have_a_course_of_its_own(tmp_path: Path, shipped: Teaching) -> None:
    shop = tmp_path / "our-shop"
    (shop / "training").mkdir(parents=True)
    (shop / "pack.yaml").write_text(
        "pack: {id: our-shop, title: Ours, version: '1', format: 1, about: Invented.,"
        " builds_on: offroad}\n"
    )
    text = (MOWER / "training" / "course.yaml").read_text(encoding="utf-8")
    own = text.replace(", theme: fuel", "").replace("made-up", "practice")
    (shop / "training" / "course.yaml").write_text(own)
    found = load_teaching(load_pack(shop), (shop,))
    assert [unit.id for unit in found.course.units] == ["look", "ride"]
    assert found.guide.themes == shipped.guide.themes
    assert found.folders == (OFFROAD, shop)
    assert len(found.course.worked) == len(shipped.course.worked)


def test_lessons_and_units_are_found_by_name_or_with_a_suggestion(shipped: Teaching) -> None:
    course = shipped.course
    assert course.unit("3").id == course.unit("what-changed").id == "what-changed"
    with pytest.raises(BadInput, match="did you mean 'symptom-1'"):
        course.lesson("symptm-1")
    with pytest.raises(BadInput, match="is not a unit"):
        course.unit("14")
