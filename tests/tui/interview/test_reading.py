"""A reading typed on the screen and in the line interview: which unit a bare number is in."""

from __future__ import annotations

from typing import Any

import pytest
from textual.app import App, ComposeResult

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Case, Complained, read_answer, read_target
from diagnose.diagnosis import Diagnosis
from diagnose.words.answers import accepted, unit_of_bare
from rules.rulebase import RuleBase
from rules.units.quantities import BadQuantity, Quantity
from tui.interview.answer_screen import AnswerScreen
from tui.interview.reading_field import ReadingField
from tui.plain.plain_interview import PlainInterview

GAP = "plug-gap-reading"


def case_with(rules: RuleBase, target: str | None) -> Case:
    """A mower that does not start, with a figure of its own for the gap or without."""
    targets = {} if target is None else dict([read_target(rules, "plug-gap", target)])
    said = (Complained("no-start"), Answered("tank-look", state="fresh"))
    return Case({}, targets, (*said, Answered("stood-all-winter")))


async def on_card(driver: Any, case: Case) -> None:
    """Put a case on the bench; its step is the gap."""
    await driver.go_on_with(case)
    assert driver.step.target == GAP


@pytest.mark.parametrize(
    ("target", "figure", "reading"),
    [
        ("0.02 in", "figure in in, or with its unit: cm", Quantity(0.03, "in")),
        ("0.75 mm", "figure in mm, or with its unit: cm", Quantity(0.03, "mm")),
        (None, "figure in mm, or with its unit: cm", Quantity(0.03, "mm")),
    ],
)
async def test_a_bare_number_is_in_the_unit_of_the_machines_own_target(
    open_app: Any, mower_assessor: Assessor, target: str | None, figure: str, reading: Quantity
) -> None:
    """Else in the pack's; the field says which."""
    async with open_app(mower_assessor) as driver:
        await on_card(driver, case_with(mower_assessor.rules, target))
        assert figure in driver.text()
        await driver.write("0,03")
        await driver.press("enter")
        assert driver.case.events[-1] == Answered(GAP, reading=reading)


async def test_a_unit_that_is_written_goes_first(open_app: Any, mower_assessor: Assessor) -> None:
    async with open_app(mower_assessor) as driver:
        await on_card(driver, case_with(mower_assessor.rules, "0.02 in"))
        await driver.write("0.9 mm")
        await driver.press("enter")
        assert driver.case.events[-1] == Answered(GAP, reading=Quantity(0.9, "mm"))


async def test_answering_again_reads_as_the_first_time(
    open_app: Any, mower_assessor: Assessor
) -> None:
    rules = mower_assessor.rules
    given: list[Answered | None] = []
    async with open_app(mower_assessor) as driver:
        driver.app.push_screen(AnswerScreen(rules, case_with(rules, "0.02 in"), GAP), given.append)
        await driver.settle()
        assert "figure in in, or with its unit" in driver.text()
        await driver.press("enter")
        assert "Type a figure in in, or with its unit" in driver.text()
        await driver.write("0.03")
        await driver.press("enter")
    assert given == [Answered(GAP, reading=Quantity(0.03, "in"))]


async def test_enter_without_a_reading_says_what_would_be_one(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """Letters that begin no reading are keys of the screen, so that nothing of them shows."""
    async with open_app(mower_assessor) as driver:
        await on_card(driver, case_with(mower_assessor.rules, None))
        events = driver.case.events
        await driver.press(*"foo")
        await driver.press("enter")
        assert driver.case.events == events
        assert "Type a figure in mm, or with its unit: cm" in " ".join(driver.text().split())


@pytest.mark.parametrize(
    ("target", "reading"), [("0.02 in", Quantity(0.03, "in")), (None, Quantity(0.03, "mm"))]
)
def test_the_line_interview_reads_alike(
    mower_assessor: Assessor, target: str | None, reading: Quantity
) -> None:
    lines = iter(["0,03"])
    written: list[str] = []

    def read(prompt: str) -> str:
        try:
            return next(lines)
        except StopIteration:
            raise EOFError from None

    diagnosis = Diagnosis(mower_assessor, case_with(mower_assessor.rules, target))
    PlainInterview(diagnosis, read, written.append).run()
    assert diagnosis.case.events[-1] == Answered(GAP, reading=reading)
    assert f"figure in {reading.unit}, or with its unit: " in "\n".join(written)


def test_running_hours_take_no_calendar_time_and_the_calendar_no_hours(
    offroad_assessor: Assessor,
) -> None:
    """Neither as a reading nor as a figure of the manual; the message says what would do."""
    rules = offroad_assessor.rules
    hours, months = "give it in h or min$", "give it in months or days or years$"
    with pytest.raises(BadQuantity, match=hours):
        read_answer(rules, "hours-fork-service", "2 months")
    with pytest.raises(BadQuantity, match=hours):
        read_target(rules, "fork-service-interval", "2 months")
    with pytest.raises(BadQuantity, match=months):
        read_answer(rules, "rear-mousse-age", "400 h")
    said = read_answer(rules, "hours-fork-service", "90 min")
    assert said == Answered("hours-fork-service", reading=Quantity(90.0, "min"))


def test_what_a_target_was_given_in_before_is_not_taken_for_running_hours(
    offroad_assessor: Assessor,
) -> None:
    """Older stores may hold an interval in months where hours are counted."""
    rules, clock = offroad_assessor.rules, "hours-fork-service"
    spec = rules.observations[clock].target
    assert spec is not None
    old = Case({}, {spec: Quantity(2.0, "months")})
    assert unit_of_bare(rules, old, clock) == "h"
    assert unit_of_bare(rules, Case({}, {spec: Quantity(900.0, "min")}), clock) == "min"


def test_a_plain_number_is_asked_for_where_nothing_has_a_unit() -> None:
    assert accepted("count") == "plain number"
    assert accepted("h") == "figure in h, or with its unit: min"
    assert accepted("clicks") == "figure in clicks"
    assert accepted("clicks", ("never",)) == "figure in clicks; or: never"


@pytest.mark.parametrize(("width", "hint"), [
    (80, "figure in psi, or with its unit: Pa, bar, kPa"),
    (42, "figure in psi, or with its unit"),
    (24, "figure in psi"),
])  # fmt: skip
async def test_a_hint_ends_at_a_whole_part(width: int, hint: str) -> None:
    class Bare(App[None]):
        def compose(self) -> ComposeResult:
            yield ReadingField()

    app = Bare()
    async with app.run_test(size=(width, 6)) as pilot:
        app.query_one(ReadingField).ask("psi")
        await pilot.pause()
        assert app.query_one(ReadingField).placeholder == hint
