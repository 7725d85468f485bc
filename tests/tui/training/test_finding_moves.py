"""What a search among the moves of a case shows first, and what handing over says."""

from __future__ import annotations

from typing import Any

import pytest
from textual.app import App, ComposeResult

from diagnose.advice.assessor import Assessor
from diagnose.training.course.course import load_teaching
from diagnose.training.customers.scenario import draw_scenario
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import Correct, HandBack, HandOver, Observe
from diagnose.training.words.encounter_words import AT_HOME, move_words, work_elsewhere
from rules.loading.pack_files import OFFROAD
from tui.training.words.move_rows import move_rows, value_of
from tui.widgets.row_list import RowList
from tui.widgets.search_list import SearchList, SearchRow


@pytest.fixture(scope="module")
def encounter(offroad_assessor: Assessor) -> Encounter:
    guide = load_teaching(offroad_assessor.rules, (OFFROAD,)).guide
    return Encounter(offroad_assessor, guide, draw_scenario(offroad_assessor.rules, guide, 102))


class Listed(App[None]):
    def __init__(self, rows: list[SearchRow]) -> None:
        super().__init__()
        self.rows, self.chosen = rows, list[str]()

    def compose(self) -> ComposeResult:
        yield SearchList("words", "none", ranked=True)

    def on_mount(self) -> None:
        self.query_one(SearchList).show_rows(self.rows)

    def on_search_list_chosen(self, message: SearchList.Chosen) -> None:
        self.chosen.append(message.value)


async def test_what_the_words_say_comes_first_and_none_of_several_is_taken_unseen(
    encounter: Encounter,
) -> None:
    """The reading before the manual's figure for it, and both before what is found by other
    words; Enter in the box goes to the rows, Enter there takes the one marked."""
    gauge = value_of(Observe("front-tyre-gauge"))
    figure = value_of(Observe("manual-front-tyre-pressure"))
    app = Listed(move_rows(encounter))
    async with app.run_test() as pilot:
        rows = app.query_one(SearchList)
        rows.action_search()
        await pilot.press(*"front tyre pressure")
        found = rows.values
        assert found.index(gauge) < found.index(figure)
        assert rows.marked == found[0]
        # how many of a sort stand there unsearched is not said of what is found
        shown = [str(option.prompt) for option in app.query_one(RowList).options]
        assert any("Measure" in line for line in shown) and "shows more" not in "".join(shown)
        await pilot.press("enter")
        assert app.chosen == [] and rows.values == found
        await pilot.press("enter")
        assert app.chosen == [found[0]]


def test_words_as_they_were_typed_come_before_the_same_words_apart() -> None:
    rows = [
        SearchRow(text, text, f"{text} {further}")
        for text, further in (
            ("Chain off or slackened, and then?", ""),
            ("Clamp bolts", "slackened and pumped"),
            ("With unslackened and fixed clamps", ""),
            ("With clamps slackened and pumped", ""),
            ("  327  Slackened and pumped", ""),
        )
    ]
    order = sorted(rows, key=lambda row: row.distance(["slackened", "and"]))
    assert [rows.index(row) for row in order] == [4, 3, 0, 2, 1]


async def test_a_question_of_which_nothing_has_every_word_finds_what_is_nearest(
    encounter: Encounter,
) -> None:
    app = Listed(move_rows(encounter))
    async with app.run_test() as pilot:
        rows = app.query_one(SearchList)
        rows.action_search()
        await pilot.press(*"when was the fork oil changed?")
        assert rows.marked == rows.values[0] == value_of(Observe("hours-fork-service"))
        rows.action_search()
        await pilot.press("ctrl+u", *"xylophone")
        assert rows.values == [] and rows.marked is None


async def test_a_whole_number_is_taken_at_once(encounter: Encounter) -> None:
    moves: list[Any] = move_rows(encounter)
    numbers = [row.number for row in moves if row.number]
    for typed in (numbers[0], numbers[-1]):
        app = Listed(moves)
        async with app.run_test() as pilot:
            app.query_one(SearchList).action_search()
            await pilot.press(*typed, "enter")
            (value,) = [row.value for row in moves if row.number == typed]
            assert app.chosen == [value]


def test_a_specialists_work_is_found_as_a_correction(encounter: Encounter) -> None:
    """By that word, and marked as theirs; handing over says that it is something else."""
    rules = encounter.assessor.rules
    cause = next(
        name
        for name, entry in rules.causes.items()
        if "specialist" in rules.corrections[entry.correction].title.lower()
        and name not in encounter.view().belief.findings.not_applicable
    )
    correct = value_of(Correct(rules.causes[cause].correction, (cause,)))
    found = [row for row in move_rows(encounter) if row.value and row.has(["specialist"])]
    (row,) = (row for row in found if row.value == correct)
    assert "a specialist's work" in str(row.look)
    theirs = [key for key, entry in rules.causes.items()
              if rules.corrections[entry.correction].who != AT_HOME]  # fmt: skip
    assert cause in theirs
    assert work_elsewhere(encounter, HandOver((cause,)))
    ours = next(key for key in rules.causes if key not in theirs)
    assert not work_elsewhere(encounter, HandOver((ours,)))
    assert not work_elsewhere(encounter, HandOver())


@pytest.mark.parametrize("move", [HandOver(), HandBack()])
def test_giving_a_bike_away_says_that_it_is_undiagnosed(
    encounter: Encounter, move: HandOver | HandBack
) -> None:
    words = move_words(encounter, move)
    assert "undiagnosed" in words.heading
    assert "the case ends with this" in str(words.note).lower()
