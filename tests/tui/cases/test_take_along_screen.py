"""The list to take along on the screens: from the step to the card, and into a file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Asking, Complained, Told
from diagnose.case.writing import case_yaml
from tests.mower_bikes import given_up, peopled_shop


async def test_the_step_leads_to_the_list_and_the_list_to_a_file(
    open_app: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    async with open_app(peopled_shop(tmp_path)) as driver:
        await driver.go_on_with(given_up())
        text = driver.text()
        assert "Take the bike to a workshop, with the list" in text
        assert "The list to take along" in text
        await driver.press("2")
        assert driver.screen == "JobCardScreen"
        assert driver.app.screen.card.audience == "take-along"
        assert "pulled till my arm came off" in driver.text()
        await driver.press("o", "ctrl+u", *"list.md", "enter")
        written = (tmp_path / "list.md").read_text(encoding="utf-8")
        assert written.startswith("# To take along to a workshop")
        shown = []
        for _ in range(3):
            await driver.press("tab")
            shown.append(driver.app.screen.card.audience)
        assert shown == ["customer", "workshop", "take-along"]


async def test_a_shop_has_no_such_list(open_app: Any, tmp_path: Path) -> None:
    async with open_app(peopled_shop(tmp_path)) as driver:
        await driver.go_on_with(given_up(Asking("shop")))
        await driver.press("k")
        shown = [driver.app.screen.card.audience]
        for _ in range(2):
            await driver.press("tab")
            shown.append(driver.app.screen.card.audience)
        assert shown == ["workshop", "customer", "workshop"]


async def test_a_file_with_a_story_is_heard_when_it_is_opened_and_only_once(
    open_app: Any, offroad_assessor: Assessor, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    story = "Rear is harsh, 14 psi in the rear tyre."
    (tmp_path / "case.yaml").write_text(f"case: 1\nstory: {story}\n")
    async with open_app(offroad_assessor) as driver:
        await driver.press("o", "enter")
        said = driver.case.events
        assert said[:2] == (Told(story), Complained("harsh", "rear"))
        assert isinstance(said[2], Answered) and said[2].observation == "rear-tyre-gauge"
        without = tuple(event for event in said if not isinstance(event, Answered))
        text, _ = case_yaml(type(driver.case)({}, {}, without))
        (tmp_path / "case.yaml").write_text(text)
        await driver.press("escape", "o", "enter")
        assert driver.case.events == without
