"""Both sizes, large targets, touch, ASCII only and no colour."""

from __future__ import annotations

from typing import Any

import pytest
from textual.filter import Monochrome

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered
from tui.app.app import BadRideApp
from tui.widgets.key_button import KeyButton

BOTH_SIZES = pytest.mark.parametrize("size", [(80, 24), (200, 60)])


async def test_answers_can_be_touched(open_app: Any, mower_assessor: Assessor) -> None:
    """A click on a button does what its key does."""
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "2", "1", "enter", "enter")
        target = driver.step.target
        buttons = [b for b in driver.app.screen.query(KeyButton) if b.display]
        await driver.pilot.click(buttons[0])
        await driver.settle()
        assert driver.case.events[-1] == Answered(target, state="yes")


@pytest.mark.parametrize("size", [(80, 24), pytest.param((200, 60), marks=pytest.mark.long)])
async def test_causes_are_beside_the_step_or_one_key_away(
    open_app: Any, mower_assessor: Assessor, size: tuple[int, int]
) -> None:
    """The bars stand beside the step on a wide screen; everywhere `w` and Tab open them."""
    async with open_app(mower_assessor, size=size) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "question_mark")
        assert driver.app.screen.query_one("#side").display == (size[0] >= 120)
        assert ("How likely each is at work" in driver.text()) == (size[0] >= 120)
        await driver.press("w", "tab")
        text = driver.text()
        assert "Out of fuel" in text
        assert "decibans" not in text
        await driver.press("=")
        text = driver.text()
        assert "For (weight in decibans)" in text
        assert "complaint: Will not start" in text


@pytest.mark.long
async def test_a_resize_moves_the_causes(open_app: Any, mower_assessor: Assessor) -> None:
    """From narrow to wide while another screen is on top."""
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter", "w")
        await driver.pilot.resize_terminal(160, 50)
        await driver.press("escape")
        assert "How likely each is at work" in driver.text()


@pytest.mark.parametrize("size", [(80, 24), pytest.param((200, 60), marks=pytest.mark.long)])
async def test_everything_fits(
    open_app: Any, mower_assessor: Assessor, size: tuple[int, int]
) -> None:
    """No screen on the way scrolls sideways, and each shows its footer on the last line."""
    async with open_app(mower_assessor, size=size) as driver:
        for key in ("", "enter", "enter", "1", "enter", "enter", "w", "escape", "c", "escape", "p", "escape", "e",
                    "escape", "s", "escape", "b", "escape", "h"):  # fmt: skip
            if key:
                await driver.press(key)
            screen = driver.app.screen
            assert screen.max_scroll_x == 0, (key, driver.screen)
            assert screen.max_scroll_y == 0, (key, driver.screen)
            footer = screen.query_one("Footer")
            assert footer.region.bottom == size[1], (key, driver.screen)
            keys = [child.region for child in footer.query("FooterKey")]
            assert all(region.right <= size[0] for region in keys), (key, driver.screen)


@pytest.mark.long
@BOTH_SIZES
async def test_ascii_only_lets_nothing_else_out(
    open_app: Any, offroad_assessor: Assessor, size: tuple[int, int]
) -> None:
    """Every line of every screen on the way, as it goes to the terminal."""
    async with open_app(offroad_assessor, size=size, ascii_only=True) as driver:
        for key in ("enter", "enter", "1", "1", "enter", "enter", "c", "escape", "p", "escape", "w", "escape",
                    "b", "escape", "s", "escape", "h"):  # fmt: skip
            await driver.press(key)
            sent = driver.sent()
            assert sent.isascii(), (key, [c for c in sent if not c.isascii()][:5])


async def test_no_colour_keeps_marks_in_text(
    monkeypatch: pytest.MonkeyPatch, mower_assessor: Assessor, open_app: Any
) -> None:
    """With NO_COLOR the filter takes colour out; cautions, stops and changes are words anyway."""
    monkeypatch.setenv("NO_COLOR", "1")
    app = BadRideApp(lambda: mower_assessor)
    assert any(isinstance(f, Monochrome) for f in app.get_line_filters())


async def test_large_targets_make_every_button_taller(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """Toggled while the case is open; on 80x24 the answers still fit."""
    async with open_app(mower_assessor) as driver:
        await driver.press("enter", "enter", "1", "enter", "enter")
        heights = [b.size.height for b in driver.app.screen.query(KeyButton) if b.display]
        await driver.press("ctrl+l")
        large = [b for b in driver.app.screen.query(KeyButton) if b.display]
        assert all(b.outer_size.height >= 3 for b in large), heights
        assert all(b.region.bottom < 24 for b in large)


@pytest.mark.long
@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_no_answer_is_pushed_off_a_small_screen_by_large_targets(
    open_app: Any, offroad_assessor: Assessor, size: tuple[int, int]
) -> None:
    """Over the first steps of a case: every button is on the screen, and the whole question."""
    async with open_app(offroad_assessor, size=size, large=True) as driver:
        await driver.press("enter", "enter", "1", "1", "enter", "enter")
        for _ in range(8):
            buttons = [b for b in driver.app.screen.query(KeyButton) if b.display]
            assert all(b.region.y > 0 and b.region.bottom < size[1] for b in buttons)
            card = driver.app.screen.query_one("StepCard")
            assert card.size.height >= card.query_one(".top").outer_size.height
            await driver.press("question_mark")


@pytest.mark.long
async def test_large_rows_take_two_lines_and_show_their_text(
    open_app: Any, mower_assessor: Assessor
) -> None:
    """Lists too: as opened, and as toggled."""
    async with open_app(mower_assessor, large=True) as driver:
        await driver.press("enter", "enter")
        lines = driver.text().splitlines()
        first = next(n for n, line in enumerate(lines) if "Will not start" in line)
        assert "Shakes" in lines[first + 2]
        await driver.press("1", "enter", "enter", "w", "tab")
        lines = driver.text().splitlines()
        first = next(n for n, line in enumerate(lines) if "Out of fuel" in line and "1  " in line)
        assert "Stale fuel" in lines[first + 2]
        await driver.press("ctrl+l")
        lines = driver.text().splitlines()
        first = next(n for n, line in enumerate(lines) if "Out of fuel" in line and "1  " in line)
        assert "Stale fuel" in lines[first + 1]
