"""The training screens: a lesson from the start to its review, practice, an exam, what comes back."""

from __future__ import annotations

import csv
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import AbstractAsyncContextManager, asynccontextmanager, contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.records.store.opening import open_memory
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import UnwritableStore
from diagnose.training.course.course import Teaching, load_teaching
from diagnose.training.desk import TrainingDesk
from diagnose.training.records.attempts import AttemptBook
from diagnose.training.records.kept_encounter import KeptEncounter
from rules.language.courses import Fading
from rules.language.schema import Picture
from rules.rulebase import RuleBase
from tests.clocks import Standing
from tests.places import MOWER
from tui.app.palette import CardActions
from tui.widgets.key_button import KeyButton

NAME = "Ann"
OnCourse = Callable[..., AbstractAsyncContextManager[Any]]

# how the lessons of the small pack are solved on the screen
STALE = ("C", "/", *"stale", "enter", "f")
RIDE = ("g", "v", "f")
GIVE_BACK = ("f", "f")
SOLVED = (*STALE, *RIDE, *GIVE_BACK)


@pytest.fixture(scope="module")
def teaching(mower: RuleBase) -> Teaching:
    return load_teaching(mower, (MOWER,))


@pytest.fixture
def clock() -> Standing:
    return Standing()


@pytest.fixture
def store(clock: Standing) -> Store:
    return open_memory(clock)


@pytest.fixture
def desk(teaching: Teaching, store: Store) -> TrainingDesk:
    return TrainingDesk(teaching, store)


@pytest.fixture
def on_course(
    open_app: Any, mower_assessor: Assessor, store: Store, desk: TrainingDesk
) -> OnCourse:
    """The course of a trainee, opened from the start screen; then the keys given."""

    @asynccontextmanager
    async def opened(*keys: str, **options: Any) -> AsyncIterator[Any]:
        if not desk.trainees.everybody():
            desk.trainees.add(NAME)
        options.setdefault("open_store", lambda: store)
        async with open_app(mower_assessor, packs=(MOWER,), **options) as driver:
            await driver.burst("l", "enter", *keys)
            yield driver

    return opened


async def test_a_lesson_from_the_start_screen_to_its_review(
    open_app: Any, mower_assessor: Assessor, store: Store, desk: TrainingDesk
) -> None:
    async with open_app(mower_assessor, packs=(MOWER,), open_store=lambda: store) as driver:
        await driver.burst("l")
        assert "Add a trainee" in driver.flat()  # with nobody there, nothing else can be meant
        await driver.burst("escape")
        assert "Nobody yet. a adds you." in driver.flat()
        await driver.burst("a", *NAME, "enter")
        assert driver.screen == "CourseScreen"
        assert "Ann: 0 of 2 units done. Next lesson: Dead again." in driver.flat()
        await driver.burst("g")
        assert driver.screen == "EncounterScreen"
        assert '"It is as dead as a stone."' in driver.flat()
        await driver.burst("/", *"tank", "enter")
        asked = desk.attempts.read(1)
        assert len(asked.steps) == 1
        assert f"-> {asked.steps[0].came}" in driver.flat()
        await driver.burst(*SOLVED)
        assert driver.screen == "ScoreScreen"
        shown = driver.flat()
        assert "passed (from 70)" in shown and "It was: Stale fuel." in shown
        assert "Remember: Look into the tank first." in shown
        assert "Open now: Try it. Next lesson: Whatever comes in." in shown
        await driver.burst("w")
        assert driver.screen == "ReviewScreen"
        assert "Step 1 of 4" in driver.flat() and "It is as dead as a stone." in driver.flat()
        assert f"It gave: {asked.steps[0].came}" in driver.flat()
        await driver.burst("right", "right")
        assert "Step 3 of 4" in driver.flat() and "You chose: Sent for a ride" in driver.flat()
        # what was known then is what the steps before had shown
        assert f"-> {asked.steps[0].came}" in driver.flat().split("Known then")[1]
        await driver.burst("left")
        assert "Step 2 of 4" in driver.flat()
        await driver.burst("escape", "escape")
        assert driver.screen == "CourseScreen"
        assert "Ann: 1 of 2 units done." in driver.flat()
        # the bar stands on what comes next
        assert driver.app.screen.query_one("#course").marked == "unit:ride"
        assert "Coach off: switch on" in driver.flat()
        await driver.burst("e")
        assert "Coach on: switch off" in driver.flat()
    result = desk.attempts.rows()[0].result
    assert result is not None and result.passed and result.measures["cautions"] == 1


@pytest.mark.long
async def test_a_move_is_found_by_its_number(on_course: OnCourse, desk: TrainingDesk) -> None:
    async with on_course("g", "3") as driver:
        marked = driver.app.screen.query_one("#moves").marked
        assert marked is not None
        await driver.burst("enter")
        if driver.screen == "MoveScreen":
            await driver.burst("f")
        move = driver.app.screen.encounter.steps[0].move
        assert move.observation in marked
        assert len(desk.attempts.read(1).steps) == 1


@pytest.mark.long
async def test_one_sort_of_move_at_a_time(on_course: OnCourse) -> None:
    async with on_course("g", "M") as driver:
        rows = driver.app.screen.query_one("#moves")
        kinds = {driver.app.shop.rules.observations[name(v)].kind for v in rows.values}
        assert kinds == {"measurement"}
        await driver.burst("escape")
        assert driver.screen == "EncounterScreen"
        assert len(rows.values) > len(kinds)


def name(value: str) -> str:
    """The observation in a row's value."""
    return value.split('"observation": "')[1].rstrip('"}')


@pytest.mark.long
async def test_cautions_are_read_or_skipped_by_choice(
    on_course: OnCourse, desk: TrainingDesk
) -> None:
    async with on_course("g", *STALE, "g") as driver:
        assert driver.screen == "MoveScreen"
        before = driver.flat()
        assert "caution" in before and "CAUTION:" not in before
        # nothing typed by habit goes past them
        await driver.burst("enter", "y", "space")
        assert driver.screen == "MoveScreen"
        await driver.burst("v")
        assert "CAUTION:" in driver.flat()
        await driver.burst("escape")
        assert len(desk.attempts.read(1).steps) == 1
        # once read they stay read until the step is taken
        await driver.burst("g")
        assert "I have read them: do it" in driver.flat() and "CAUTION:" in driver.flat()
        await driver.burst("f", *GIVE_BACK)
        assert driver.screen == "ScoreScreen"
    result = desk.attempts.rows()[0].result
    assert result is not None and result.measures["cautions"] == 1


async def test_quitting_and_going_on(
    open_app: Any, mower_assessor: Assessor, on_course: OnCourse, open_shop: Any, teaching: Teaching
) -> None:
    """Each step is in the store before the next can be made; another app goes on from there."""
    TrainingDesk(teaching, open_shop()).trainees.add(NAME)
    async with open_app(mower_assessor, packs=(MOWER,), open_store=open_shop) as driver:
        await driver.burst("l", "enter", "g", *STALE)
        steps = AttemptBook(open_shop(), teaching.rules.info.id).read(1).steps
        assert [s.step["move"]["do"] for s in steps] == ["correct"]
    async with open_app(mower_assessor, packs=(MOWER,), open_store=open_shop) as driver:
        await driver.burst("l", "enter")
        assert "Left open" in driver.flat()
        await driver.burst("home", "enter")
        assert driver.screen == "EncounterScreen"
        assert "Where you left it:" in driver.flat()
        await driver.burst(*RIDE, *GIVE_BACK)
        assert driver.screen == "ScoreScreen"
        await driver.burst("escape")
        assert "Left open" not in driver.flat()


async def test_a_locked_unit_can_be_read_but_not_played(
    on_course: OnCourse, desk: TrainingDesk
) -> None:
    async with on_course("/", *"try it", "enter") as driver:
        assert driver.screen == "UnitScreen"
        shown = driver.flat()
        assert "Prove every repair by mowing." in shown
        assert "Locked: it opens when 'Look into the tank' is done." in shown
        await driver.burst("enter")
        assert driver.screen == "UnitScreen"
        assert any("Locked" in said for said in driver.said)
    assert desk.attempts.rows() == []


@pytest.mark.long
async def test_practice_is_the_same_case_for_the_same_number(
    on_course: OnCourse, desk: TrainingDesk
) -> None:
    async with on_course("a", "2", "1") as driver:
        await driver.burst(*"7 x", "enter")
        assert "A whole number" in driver.flat()
        await driver.burst("backspace", "backspace", "enter")
        assert driver.screen == "EncounterScreen"
        assert driver.app.screen.encounter.scenario.id == "7:single"
        await driver.burst("escape", "home", "enter")
        # the same case goes on, no second one is begun
        assert driver.screen == "EncounterScreen"
    assert [row.scenario for row in desk.attempts.rows()] == ["7:single"]


@pytest.mark.long
async def test_the_coach_asks_first_and_then_shows_its_view(
    on_course: OnCourse, desk: TrainingDesk
) -> None:
    async with on_course("e", "g", "/", *"tank", "enter") as driver:
        assert driver.screen == "CoachScreen"
        await driver.burst("/", *"stale", "enter", "g")
        assert driver.screen == "PickScreen"
        assert "What do you expect to find?" in driver.flat()
        await driver.burst("1")
        assert driver.screen == "ReadScreen"
        shown = driver.flat()
        assert "Likeliest before this step:" in shown and "Now it would do" not in shown
        assert "The result you expected:" in shown
        await driver.burst("enter")
        assert driver.screen == "EncounterScreen"
    step = desk.attempts.read(1).steps[0].step
    assert step["guess"]["causes"] == ["stale-fuel"] and step["guess"]["expects"]
    assert desk.attempts.read(1).begun.coach


@pytest.mark.long
async def test_hints_say_their_price_and_are_on_record(
    on_course: OnCourse, desk: TrainingDesk
) -> None:
    async with on_course("g", "?") as driver:
        assert "Take it: 2 points off" in driver.flat()
        await driver.burst("n")
        assert desk.attempts.read(1).open_hints == 0
        await driver.burst("?", "y")
        assert "Hint (2 points off): Think of:" in driver.flat()
        assert desk.attempts.read(1).open_hints == 1
        await driver.burst("?", "y", "?", "y", "?")
        assert "That was the last hint for this step." in driver.said[-1]
        await driver.burst(*SOLVED)
        assert "less 10 for hints" in driver.flat()


@pytest.mark.long
async def test_handing_over_asks_what_is_suspected(on_course: OnCourse, desk: TrainingDesk) -> None:
    async with on_course("g", "x") as driver:
        assert driver.screen == "FindScreen"
        await driver.burst(*"stale", "enter", "f")
        assert driver.screen == "ScoreScreen"
        assert "You named: Stale fuel." in driver.flat()


async def test_an_exam_has_no_hints_no_coach_and_scores_at_its_end(
    on_course: OnCourse, desk: TrainingDesk
) -> None:
    async with on_course("e", "end", "enter") as driver:
        assert "No hints, no coach" in driver.flat()
        assert "It asks for every unit; 0 of 2 are done." in driver.flat()
        await driver.burst("1", "?")
        assert driver.screen == "EncounterScreen"
        assert "Short exam, case 1 of 2" in driver.flat()
        await driver.burst(*GIVE_BACK)
        assert "Short exam, case 2 of 2" in driver.flat()
        # broken off, but only on purpose: nothing of the first case is shown yet
        await driver.burst("escape")
        assert "Back within 10 minutes" in driver.flat()
        await driver.burst("n")
        assert driver.screen == "EncounterScreen"
        await driver.burst("escape", "y")
        assert "2 cases, open" in driver.flat() and "mean" not in driver.flat()
        await driver.burst("c")
        assert "No case has been done yet." in driver.said[-1]
        await driver.burst("end", "enter")
        assert "Go on after 1 of 2 cases" in driver.flat()
        await driver.burst("1", *GIVE_BACK)
        assert driver.screen == "RowsScreen"
        assert "Short exam: not passed" in driver.flat()
        await driver.burst("enter")
        assert driver.screen == "ScoreScreen"
        await driver.burst("escape", "escape")
        assert driver.screen == "CourseScreen"
        assert "2 cases, not passed, mean" in driver.flat()
    sitting = desk.standing(NAME).sat[0]
    assert sitting.complete and sitting.sitting.ended is not None


@pytest.mark.long
async def test_what_was_got_wrong_comes_back_and_is_repeated(
    on_course: OnCourse, desk: TrainingDesk, clock: Standing
) -> None:
    from datetime import timedelta

    async with on_course("g", *GIVE_BACK, "escape") as driver:
        assert "To repeat today" not in driver.flat()
        clock.moment += timedelta(days=3)
        await driver.burst("escape", "enter")
        assert "To repeat today" in driver.flat()
        assert "missed 1 time" in driver.flat()
        before = len(desk.standing(NAME).due(clock.moment))
        await driver.burst("/", *"lesson dead-1", "enter")
        assert driver.screen == "EncounterScreen"
        await driver.burst(*SOLVED)
        assert driver.screen == "ScoreScreen"
        await driver.burst("escape")
        assert len(desk.standing(NAME).due(clock.moment)) < before
    assert [row.lesson for row in desk.attempts.rows()] == ["dead-1", "dead-1"]


@pytest.mark.long
async def test_progress_as_table_and_plot(on_course: OnCourse) -> None:
    async with on_course() as driver:
        await driver.burst("k")
        assert "The plot of scores begins with 3 cases." in driver.flat()
        await driver.burst("escape")
        for _ in range(3):
            await driver.burst("g", *GIVE_BACK, "escape")
        await driver.burst("k")
        shown = driver.flat()
        assert "3 cases, 0 passed" in shown
        assert "Scores, case by case, the latest on the right" in shown
        assert "What counts: share of the points earned" in shown
        await driver.burst("end")
        assert "Groups of causes: right cause named" in driver.flat()


async def test_the_same_key_again_asks_the_next_thing(on_course: OnCourse) -> None:
    async with on_course("g") as driver:
        for _ in range(2):
            await driver.burst("enter")
            if driver.screen != "EncounterScreen":
                await driver.burst("f")
        one, other = driver.app.screen.encounter.steps
        assert one.move != other.move
        assert one.event != other.event


@pytest.mark.long
async def test_the_record_goes_to_a_card_and_the_cases_to_a_table(
    on_course: OnCourse, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The card and the rows are those of the case that was played."""
    monkeypatch.chdir(tmp_path)
    looked = ("/", *"tank", "enter")
    async with on_course("g", *looked, *SOLVED, "escape", "k", "o") as driver:
        assert "Write the training record to" in driver.flat()
        await driver.burst(*["backspace"] * len("training-ann.pdf"), *"ann.doc", "enter")
        assert not list(tmp_path.glob("ann*"))  # no kind of card
        await driver.burst(*["backspace"] * 3, *"md", "enter")
        card = (tmp_path / "ann.md").read_text(encoding="utf-8")
        assert "Training record: Ann" in card
        assert "1, 1 passed" in card
        await driver.burst("escape", "escape", "o", "enter")
    [row] = csv.DictReader((tmp_path / "training.csv").read_text(encoding="utf-8").splitlines())
    assert (row["trainee"], row["state"], row["causes"]) == ("Ann", "finished", "stale-fuel")


@pytest.mark.long
async def test_without_a_store_practice_works_and_says_so(
    open_app: Any, mower_assessor: Assessor
) -> None:
    async with open_app(mower_assessor, packs=(MOWER,)) as driver:
        await driver.burst("l")
        assert "Nothing is kept: what is done here is gone" in driver.flat()
        await driver.burst("a", *NAME, "enter", "g", *SOLVED)
        assert driver.screen == "ScoreScreen"


@contextmanager
def full_disk(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Nothing can be added to a case meanwhile."""

    def refuse(*given: Any, **more: Any) -> None:
        raise UnwritableStore("the disk is full")

    with monkeypatch.context() as full:
        full.setattr(AttemptBook, "append", refuse)
        yield


async def test_a_step_that_cannot_be_kept_says_so_and_is_kept_with_the_next(
    on_course: OnCourse, desk: TrainingDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with on_course("g") as driver:
        with full_disk(monkeypatch):
            await driver.burst(*STALE)
            assert "NOT KEPT YET: the disk is full" in driver.flat()
            assert desk.attempts.read(1).steps == ()
        await driver.burst(*RIDE)
        assert "NOT KEPT" not in driver.flat()
        assert len(desk.attempts.read(1).steps) == 2


@pytest.mark.long
async def test_who_leaves_a_case_with_something_not_kept_is_asked(
    on_course: OnCourse, desk: TrainingDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with on_course("g") as driver:
        with full_disk(monkeypatch):
            await driver.burst(*STALE, "escape", "escape")
            assert driver.screen == "PickScreen"
            assert "The latest steps of this case are in memory alone." in driver.flat()
            await driver.burst("1")
            assert driver.screen == "PickScreen"
        assert desk.attempts.read(1).steps == ()
        await driver.burst("1")
        assert driver.screen != "PickScreen"
        assert len(desk.attempts.read(1).steps) == 1


async def test_touch_and_the_palette_do_what_the_keys_do(on_course: OnCourse) -> None:
    async with on_course(large=True) as driver:
        for label, screen in (("Next", "EncounterScreen"), ("Cause", "EncounterScreen")):
            button = next(b for b in driver.app.screen.query(KeyButton) if b.label == label)
            await driver.pilot.click(button)
            await driver.settle()
            assert driver.screen == screen
        values = driver.app.screen.query_one("#moves").values
        assert all('"correct"' in value for value in values)
        found = [hit async for hit in CardActions(driver.app.screen).discover()]
        named = " ".join(str(hit.text) for hit in found)
        assert "Send it for a ride (g)" in named and "A hint; it costs points (?)" in named


async def test_help_lists_the_keys(on_course: OnCourse) -> None:
    async with on_course("g", "f1") as driver:
        assert driver.screen == "HelpScreen"
        shown = driver.flat()
        for words in ("All that is known", "Give the bike back as finished", "Only: Measure"):
            assert words in shown


async def test_a_rule_base_without_a_course_says_so(open_app: Any, tmp_path: Path) -> None:
    from rules.loading.loader import load_pack

    (tmp_path / "pack.yaml").write_text((MOWER / "pack.yaml").read_text(encoding="utf-8"))
    shop = Assessor(load_pack(tmp_path))
    async with open_app(shop, packs=(tmp_path,)) as driver:
        await driver.burst("l")
        assert driver.screen == "StartScreen"
        assert any("no course" in said or "missing" in said for said in driver.said)


def test_the_document_of_an_open_case_is_its_score_so_far(desk: TrainingDesk) -> None:
    desk.trainees.add(NAME)
    encounter: KeptEncounter = desk.begin_lesson(NAME, desk.course.lesson("dead-1"))
    document = encounter.score_document()
    assert document["customer"]["words"] == ["It is as dead as a stone."]
    assert not document["finished"]


def with_examples(teaching: Teaching) -> Teaching:
    """The small course, its first customer worked by a technician, with words and a drawing and
    two things to show at a real mower."""
    first, *others = teaching.course.units
    first = replace(
        first,
        words={"Tank": "what the fuel is in.", "Plug": "what makes the spark."},
        drawn={"Tank": "tank"},
        at_the_bike=("Looks into a tank.", "Pulls a plug."),
    )
    course = replace(
        teaching.course,
        units=(first, *others),
        fading=Fading(shown=(1.0, 0.75), feedback=2, source=("made-up",)),
    )
    rules = teaching.rules
    picture = Picture(
        file="tank.svg",
        title="The tank",
        description="A box with a lid, seen from above.",
        source=("made-up",),
    )
    svg = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20"><rect width="9" height="9"/></svg>'
    drawn = replace(rules, pictures={"tank": picture}, drawings={"tank": svg})
    return replace(teaching, rules=drawn, course=course)


async def test_a_newcomer_reads_sees_an_example_and_is_signed_off(
    open_app: Any,
    mower_assessor: Assessor,
    store: Store,
    teaching: Teaching,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Next leads to the unit's text, its words and the worked customer, then to the trainee's."""
    taught = with_examples(teaching)
    monkeypatch.setattr("diagnose.training.course.course.load_teaching", lambda *_: taught)
    desk = TrainingDesk(taught, store)
    desk.trainees.add(NAME)
    async with open_app(mower_assessor, packs=(MOWER,), open_store=lambda: store) as driver:
        await driver.burst("l", "enter")
        assert "Next: unit 1, Look into the tank." in driver.flat()
        await driver.burst("g")
        assert driver.screen == "UnitScreen"
        assert "worked by a technician" in driver.flat()
        await driver.burst("w")
        assert driver.screen == "WordsScreen" and "Tank: what the fuel is in." in driver.flat()
        await driver.burst("d")
        assert driver.screen == "DrawingScreen" and "A box with a lid" in driver.flat()
        await driver.burst("escape", "down", "d")
        assert driver.screen == "WordsScreen" and "no drawing" in driver.said[-1]
        await driver.burst("escape", "g")
        assert driver.screen == "WorkedScreen"
        assert "A technician at work. Dead again: step 1 of" in driver.flat()
        assert "Why: " in driver.flat()
        # left before its end it is still to be seen
        await driver.burst("right", "escape")
        assert desk.standing(NAME).next_lesson == taught.course.lesson("dead-1")
        await driver.burst("enter", "end")
        assert "It was: Stale fuel." in driver.flat()
        await driver.burst("right")
        assert driver.screen == "UnitScreen" and "seen; play another" in driver.flat()
        assert desk.standing(NAME).next_lesson == taught.course.lesson("dead-2")
        assert not desk.attempts.rows()
        await driver.burst("escape", "f")
        assert "Ann at a real bike: 0 of 2 signed off." in driver.flat()
        await driver.burst("f")
        assert "Nothing is ticked" in driver.said[-1]
        await driver.burst("enter", "enter", "down", "enter", "f", *"Demo Trainer", "enter")
        assert driver.screen == "SignOffScreen"
        assert "1 of 2 signed off" in driver.flat()
        assert "Signed off by Demo Trainer on" in driver.flat()
        await driver.burst("up", "enter", "f", *"Demo Trainer", "enter", "escape")
        assert "0 of 1 lessons, signed" in driver.flat()
    shown = [
        line for entry, _ in desk.trainees.read(NAME).signed_off(desk.pack) for line in entry.shown
    ]
    assert shown == ["Pulls a plug.", "Looks into a tank."]


async def test_a_case_under_way_is_left_only_after_a_question(
    on_course: OnCourse, desk: TrainingDesk
) -> None:
    async with on_course("g", "escape") as driver:
        assert driver.screen == "CourseScreen"  # nothing was done yet
        await driver.burst("g", *STALE, "escape", "escape")  # the first one ends the search
        assert driver.screen == "PickScreen"
        assert "left open" in driver.flat()
        await driver.burst("n")
        assert driver.screen == "EncounterScreen"
        await driver.burst("escape", "y")
        assert driver.screen == "CourseScreen" and "Left open" in driver.flat()
    assert len(desk.attempts.read(1).steps) == 1


@pytest.mark.long
async def test_what_a_specialist_does_is_offered_before_the_bike_is_handed_over(
    on_course: OnCourse, desk: TrainingDesk, teaching: Teaching
) -> None:
    """In the small pack the carburettor is taken to one."""
    rules = teaching.rules
    theirs = next(
        (c for c, entry in rules.causes.items()
         if rules.corrections[entry.correction].who != "home mechanic"),
        None,
    )  # fmt: skip
    assert theirs is not None
    async with on_course("g", "x") as driver:
        await driver.burst(*rules.causes[theirs].title.lower(), "enter")
        assert driver.screen == "PickScreen"
        await driver.burst("1")
        assert driver.screen == "MoveScreen"
        await driver.burst("f")
    assert desk.attempts.read(1).steps[0].step["move"]["do"] == "correct"
